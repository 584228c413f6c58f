"""Temperatures of the coolant all around a loop, from flows, heats and radiators as they are.

Owns: the steady balance of heat at every node and of the air between radiators. Does not own: conductances
(`kb/duty/radiator_performance.py`) or flows (`kb/duty/network.py`).
With flows and conductances given the balance is linear: coolant mixes where branches meet, takes up heat in blocks and
pumps, and gives it off in radiators; the air of a radiator may have passed another one before. Any arrangement of
branches is solved at once, several circuits and branches that run backwards included.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kb.duty.few_equations import solve_few

STILL_L_MIN = 1e-6  # what rounding leaves of no flow


class Way(NamedTuple):
    """A branch of the network of the coolant."""

    name: str
    start: str
    end: str


class Link(NamedTuple):
    """A branch that coolant flows through, from start to end."""

    name: str
    start: str
    end: str
    flow_l_min: float


class Shed(NamedTuple):
    """What a radiator does with heat.

    Attributes:
        conductance_w_per_k: heat over entering coolant less entering air.
        air_capacity_w_per_k: mass flow times heat capacity of its air; 0 without air.
        air_c: air of its own.
        air_from: radiator -> share of the air that comes out of that one [-].
    """

    conductance_w_per_k: float
    air_capacity_w_per_k: float
    air_c: float
    air_from: Mapping[str, float]


class HeatState(NamedTuple):
    """A loop in balance.

    Attributes:
        nodes_c: node -> temperature; nodes of still coolant and of circuits that nothing cools are left out.
        inlets_c: branch -> temperature of the coolant that enters it.
        outlets_c: branch -> temperature of the coolant that leaves it.
        shed_w: radiator -> heat it gives off.
        air_in_c: radiator -> temperature of its air.
        air_out_c: radiator -> temperature of the air that leaves it.
        stranded: branches with heat and without flow.
        unshed: branches with heat in circuits where no radiator gives any off.
        heat_w: heat of all branches whose circuit was balanced.
        balance_error: heat in less heat out over heat in [-]; 0 without heat.
    """

    nodes_c: Mapping[str, float]
    inlets_c: Mapping[str, float]
    outlets_c: Mapping[str, float]
    shed_w: Mapping[str, float]
    air_in_c: Mapping[str, float]
    air_out_c: Mapping[str, float]
    stranded: tuple[str, ...]
    unshed: tuple[str, ...]
    heat_w: float
    balance_error: float


def links_of(ways: Sequence[Way], flows_l_min: Mapping[str, float]) -> tuple[Link, ...]:
    """Return the branches that coolant flows through, turned the way it flows.

    Args:
        ways: the branches of a network.
        flows_l_min: branch -> flow from start to end [l/min]; negative backwards.
    """
    links = []
    for way in ways:
        flow = flows_l_min[way.name]
        if flow > STILL_L_MIN:
            links.append(Link(way.name, way.start, way.end, flow))
        elif flow < -STILL_L_MIN:
            links.append(Link(way.name, way.end, way.start, -flow))
    return tuple(links)


class Layout(NamedTuple):
    """What branches join, whatever flows in them.

    Attributes:
        nodes: node -> its number.
        starts: branch -> number of the node it starts at.
        ends: branch -> number of the node it ends at.
        circuit_of: branch -> a node that stands for all that hangs together with it.
        circuits: all of these.
    """

    nodes: Mapping[str, int]
    starts: Mapping[str, int]
    ends: Mapping[str, int]
    circuit_of: Mapping[str, str]
    circuits: frozenset[str]


class Reach(NamedTuple):
    """How far the coolant that radiators send off reaches round a loop, and heat with it; decided by flows alone.

    Attributes:
        radiators: the radiators in the loop.
        nodes: for each node, what 1 K l/min that enters each node warms it by [min/l].
        inlets: radiator -> the same for the node it draws from.
        mixing: radiator -> share of its coolant that comes from each radiator [-]; they sum to 1.
    """

    radiators: tuple[str, ...]
    nodes: NDArray[np.float64]
    inlets: Mapping[str, Sequence[float]]
    mixing: Mapping[str, Sequence[float]]


class Circulation:
    """Where coolant flows, with everything worked out that depends on flows alone; solved for many heats.

    Attributes:
        links: the branches that coolant flows through.
        flows_l_min: branch -> its flow.
        layout: what they join.
    """

    def __init__(self, links: Sequence[Link], alike: Circulation | None = None) -> None:
        """Work out what flows decide.

        Args:
            links: the branches that coolant flows through.
            alike: perhaps the same branches with other flows; what they join is then not worked out again.
        """
        self.links = tuple(links)
        self.flows_l_min = {link.name: link.flow_l_min for link in links}
        same = alike is not None and _join_alike(alike.links, self.links)
        self.layout: Layout = alike.layout if alike is not None and same else _layout(self.links)
        self._reaches: dict[tuple[str, ...], Reach] = {}

    def cooled(self, sheds: Mapping[str, Shed]) -> Circulation:
        """Return those circuits in which a radiator gives off heat.

        Args:
            sheds: what radiators do.
        """
        circuit_of = self.layout.circuit_of
        cooled = {circuit_of[name] for name, one in sheds.items() if one.conductance_w_per_k > 0 and name in circuit_of}
        if cooled == self.layout.circuits:
            return self
        return Circulation([link for link in self.links if circuit_of[link.name] in cooled])

    def reach(self, radiators: tuple[str, ...]) -> Reach:
        """Return how far radiators reach.

        Args:
            radiators: their branches, at least one in each circuit.

        Raises:
            numpy.linalg.LinAlgError: where next to nothing flows.

        Source: balance of energy at every node, the coolant that leaves a radiator taken as known.
        """
        found = self._reaches.get(radiators)
        if found is None:
            found = self._reaches[radiators] = self._reached(radiators)
        return found

    def _reached(self, radiators: tuple[str, ...]) -> Reach:
        starts, ends = self.layout.starts, self.layout.ends
        size = len(self.layout.nodes)
        mixed = [[0.0] * size for _ in range(size)]
        for link in self.links:
            start, end = starts[link.name], ends[link.name]
            mixed[end][end] += link.flow_l_min
            if link.name not in radiators:
                mixed[end][start] -= link.flow_l_min
        nodes: NDArray[np.float64] = np.linalg.inv(np.array(mixed).reshape(size, size))
        inlets: dict[str, list[float]] = {name: nodes[starts[name]].tolist() for name in radiators}
        sent = [(ends[name], self.flows_l_min[name]) for name in radiators]
        mixing = {name: [row[end] * flow for end, flow in sent] for name, row in inlets.items()}
        return Reach(radiators, nodes, inlets, mixing)


def _join_alike(some: Sequence[Link], others: Sequence[Link]) -> bool:
    return len(some) == len(others) and all(one[:3] == other[:3] for one, other in zip(some, others, strict=True))


def _layout(links: Sequence[Link]) -> Layout:
    nodes: dict[str, int] = {}
    for link in links:
        nodes.setdefault(link.start, len(nodes))
        nodes.setdefault(link.end, len(nodes))
    circuit_of = _circuits(links)
    return Layout(
        nodes=nodes,
        starts={link.name: nodes[link.start] for link in links},
        ends={link.name: nodes[link.end] for link in links},
        circuit_of=circuit_of,
        circuits=frozenset(circuit_of.values()),
    )


class RadiatorBalance(NamedTuple):
    """The balance of heat as radiators see it.

    Attributes:
        circulation: the circuits in which a radiator gives off heat.
        reach: how far radiators reach in them.
        inlets_c: radiator in them -> temperature of the coolant that enters it.
        air_in_c: radiator -> temperature of its air.
    """

    circulation: Circulation
    reach: Reach
    inlets_c: Mapping[str, float]
    air_in_c: Mapping[str, float]


def balance_radiators(
    circulation: Circulation, heats_w: Mapping[str, float], sheds: Mapping[str, Shed], capacity: float
) -> RadiatorBalance:
    """Return coolant and air that enter each radiator, and nothing else of the balance.

    Args, errors, validity and source: as `balance_heat`.
    """
    cooled = circulation.cooled(sheds)
    flows, ends = cooled.flows_l_min, cooled.layout.ends
    reach = cooled.reach(tuple(name for name in sheds if name in flows))
    warmth = [(ends[name], heat / capacity) for name, heat in heats_w.items() if name in ends]
    inlet_at = {name: at for at, name in enumerate(reach.radiators)}
    fed = [name for name, shed in sheds.items() if shed.air_from]
    air_at = {name: at for at, name in enumerate(fed, len(inlet_at))}
    cooling = [
        (name, sheds[name].conductance_w_per_k / (capacity * flows[name]), air_at.get(name), sheds[name].air_c)
        for name in reach.radiators
    ]
    found = solve_few(
        [
            *(_inlet_equation(at, reach, warmth, cooling, len(air_at)) for at in inlet_at.values()),
            *(_air_equation(name, sheds, inlet_at, air_at) for name in fed),
        ]
    )
    inlets = {name: found[at] for name, at in inlet_at.items()}
    air = {name: found[air_at[name]] if name in air_at else shed.air_c for name, shed in sheds.items()}
    return RadiatorBalance(cooled, reach, inlets, air)


def _inlet_equation(
    radiator: int,
    reach: Reach,
    warmth: Sequence[tuple[int, float]],
    cooling: Sequence[tuple[str, float, int | None, float]],
    fed: int,
) -> list[float]:
    """Coolant that enters a radiator mixes from what all radiators send off, warmed on its way.

    Args:
        radiator: its number.
        reach: how far radiators reach.
        warmth: node -> heat that enters there, over the heat capacity flow of 1 l/min.
        cooling: for each radiator its name, the share of coolant over air by which it cools, which unknown its air is,
            and its own air.
        fed: how many unknowns are air.
    """
    name = cooling[radiator][0]
    reached = reach.inlets[name]
    row = [0.0] * (len(cooling) + fed + 1)
    right = 0.0
    for node, heat in warmth:
        right += reached[node] * heat
    for at, (share, (_, cools, air_at, air_c)) in enumerate(zip(reach.mixing[name], cooling, strict=True)):
        from_air = share * cools
        row[at] = from_air - share
        if air_at is None:
            right += from_air * air_c
        else:
            row[air_at] -= from_air
    row[radiator] += 1.0
    row[-1] = right
    return row


def _air_equation(
    name: str, sheds: Mapping[str, Shed], inlet_at: Mapping[str, int], air_at: Mapping[str, int]
) -> list[float]:
    """Air that enters a radiator is fresh, or has passed others and warmed there."""
    shed = sheds[name]
    row = [0.0] * (len(inlet_at) + len(air_at) + 1)
    row[air_at[name]] = 1.0
    row[-1] = (1 - sum(shed.air_from.values())) * shed.air_c
    for other, share in shed.air_from.items():
        feeding = sheds[other]
        warming = share * _warming(feeding) if other in inlet_at else 0.0
        if warming:
            row[inlet_at[other]] -= warming
        if other in air_at:
            row[air_at[other]] += warming - share
        else:
            row[-1] += (share - warming) * feeding.air_c
    return row


def _warming(shed: Shed) -> float:
    """Return how far air warms on its way through a radiator, as a share of coolant over air [-]."""
    return shed.conductance_w_per_k / shed.air_capacity_w_per_k if shed.air_capacity_w_per_k > 0 else 0.0


def balance_heat(
    circulation: Circulation, heats_w: Mapping[str, float], sheds: Mapping[str, Shed], capacity: float
) -> HeatState:
    """Return the temperatures at which every node, and the loop as a whole, is in balance.

    Args:
        circulation: where coolant flows; at every node as much enters as leaves.
        heats_w: branch -> heat it takes up [W]; branches without flow may be among them.
        sheds: branch -> what a radiator does; branches without flow may be among them.
        capacity: heat capacity flow of 1 l/min [W/K].

    Raises:
        NoSolutionError: if air goes round between radiators without any of it being fresh.
        numpy.linalg.LinAlgError: where next to nothing flows.

    Validity: steady state, one heat capacity all around, complete mixing where branches meet, no heat through walls of
    tubes and parts.
    Source: balance of energy at every node.

    >>> ring = Circulation([Link("block", "a", "b", 4.0), Link("radiator", "b", "a", 4.0)])
    >>> state = balance_heat(ring, {"block": 280.0}, {"radiator": Shed(20.0, 30.0, 25.0, {})}, 70.0)
    >>> round(state.inlets_c["radiator"], 9), round(state.inlets_c["block"], 9), abs(state.balance_error) < 1e-12
    (39.0, 38.0, True)
    """
    return heat_state(circulation, heats_w, sheds, capacity, balance_radiators(circulation, heats_w, sheds, capacity))


def heat_state(
    circulation: Circulation,
    heats_w: Mapping[str, float],
    sheds: Mapping[str, Shed],
    capacity: float,
    balance: RadiatorBalance,
) -> HeatState:
    """Return the whole balance of heat, from that of its radiators.

    Args:
        circulation: as `balance_heat`, and so the next three.
        heats_w: see there.
        sheds: see there.
        capacity: see there.
        balance: what `balance_radiators` returns for these.
    """
    solved, air = balance.circulation, balance.air_in_c
    found = _nodes(balance, heats_w, sheds, capacity)
    inlets = {name: found[start] for name, start in solved.layout.starts.items()}
    shed = {name: one.conductance_w_per_k * (inlets[name] - air[name]) for name, one in sheds.items() if name in inlets}
    outlets = dict(inlets)
    for name, flow in solved.flows_l_min.items():
        if name in heats_w or name in shed:
            outlets[name] += (heats_w.get(name, 0.0) - shed.get(name, 0.0)) / (capacity * flow)
    warm = [name for name, heat in heats_w.items() if heat > 0]
    heat = sum(heats_w[name] for name in heats_w if name in inlets)
    return HeatState(
        nodes_c={node: found[index] for node, index in solved.layout.nodes.items()},
        inlets_c=inlets,
        outlets_c=outlets,
        shed_w=shed,
        air_in_c=air,
        air_out_c={name: air[name] + _air_rise(one, shed.get(name, 0.0)) for name, one in sheds.items()},
        stranded=tuple(name for name in warm if name not in circulation.flows_l_min),
        unshed=tuple(name for name in warm if name in circulation.flows_l_min and name not in inlets),
        heat_w=heat,
        balance_error=(heat - sum(shed.values())) / heat if heat > 0 else 0.0,
    )


def _nodes(
    balance: RadiatorBalance, heats_w: Mapping[str, float], sheds: Mapping[str, Shed], capacity: float
) -> list[float]:
    """Return the temperature of every node, from what radiators send off and branches take up."""
    flows, ends = balance.circulation.flows_l_min, balance.circulation.layout.ends
    entering = [0.0] * len(balance.circulation.layout.nodes)
    for name, heat in heats_w.items():
        if name in ends:
            entering[ends[name]] += heat / capacity
    for name, inlet in balance.inlets_c.items():
        shed = sheds[name].conductance_w_per_k * (inlet - balance.air_in_c[name])
        entering[ends[name]] += flows[name] * inlet - shed / capacity
    found: list[float] = (balance.reach.nodes @ np.array(entering)).tolist()
    return found


def _air_rise(shed: Shed, heat_w: float) -> float:
    return heat_w / shed.air_capacity_w_per_k if shed.air_capacity_w_per_k > 0 else 0.0


def _circuits(links: Sequence[Link]) -> dict[str, str]:
    """Return for each branch a node that stands for all that hangs together with it."""
    leader: dict[str, str] = {}

    def find(node: str) -> str:
        while leader.setdefault(node, node) != node:
            leader[node] = node = leader[leader[node]]
        return node

    for link in links:
        leader[find(link.start)] = find(link.end)
    return {link.name: find(link.start) for link in links}
