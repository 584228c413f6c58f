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
        self.layout: Layout = alike.layout if alike is not None and _join_alike(alike.links, self.links) else _layout(links)
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
    equations = _Equations(cooled, heats_w, sheds, capacity)
    found = solve_few(equations.rows())
    inlets = {name: found[at] for name, at in equations.inlet_at.items()}
    fed = equations.air_at
    air = {name: found[fed[name]] if name in fed else shed.air_c for name, shed in sheds.items()}
    return RadiatorBalance(cooled, equations.reach, inlets, air)


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
    balance = balance_radiators(circulation, heats_w, sheds, capacity)
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


class _Equations:
    """What coolant and air that enter radiators have to do with each other.

    Unknown are the coolant that enters each radiator in the loop, and the air of those that breathe that of others.
    """

    def __init__(
        self, circulation: Circulation, heats_w: Mapping[str, float], sheds: Mapping[str, Shed], capacity: float
    ) -> None:
        flows, ends = circulation.flows_l_min, circulation.layout.ends
        self._sheds = sheds
        self.reach = circulation.reach(tuple(name for name in sheds if name in flows))
        names = self.reach.radiators
        self._warmth = [(ends[name], heat / capacity) for name, heat in heats_w.items() if name in ends]
        self._cooling = [sheds[name].conductance_w_per_k / (capacity * flows[name]) for name in names]
        self.inlet_at = {name: at for at, name in enumerate(names)}
        fed = [name for name, shed in sheds.items() if shed.air_from]
        self.air_at = {name: at for at, name in enumerate(fed, len(names))}
        self._size = len(names) + len(fed)

    def rows(self) -> list[list[float]]:
        """Return the equations: factors, then the right side."""
        return [*map(self._inlet, self.inlet_at), *map(self._air, self.air_at)]

    def _inlet(self, name: str) -> list[float]:
        """Coolant that enters mixes from what all radiators send off, warmed on its way."""
        row = [0.0] * (self._size + 1)
        row[self.inlet_at[name]] = 1.0
        reached = self.reach.inlets[name]
        row[-1] = sum(reached[end] * warmth for end, warmth in self._warmth)
        for at, share in enumerate(self.reach.mixing[name]):
            cooling = share * self._cooling[at]
            row[at] += cooling - share
            self._add_air(row, self.reach.radiators[at], -cooling)
        return row

    def _air(self, name: str) -> list[float]:
        """Air that enters is fresh, or has passed others and warmed there."""
        shed = self._sheds[name]
        row = [0.0] * (self._size + 1)
        row[self.air_at[name]] = 1.0
        row[-1] = (1 - sum(shed.air_from.values())) * shed.air_c
        for other, share in shed.air_from.items():
            warming = share * self._warming(other)
            self._add_air(row, other, warming - share)
            if warming:
                row[self.inlet_at[other]] -= warming
        return row

    def _warming(self, name: str) -> float:
        """Return how far air warms on its way through a radiator, as a share of coolant over air [-]."""
        shed = self._sheds[name]
        if name not in self.inlet_at or shed.air_capacity_w_per_k <= 0:
            return 0.0
        return shed.conductance_w_per_k / shed.air_capacity_w_per_k

    def _add_air(self, row: list[float], name: str, factor: float) -> None:
        """Add the air of a radiator to the left side; what is known of it goes to the right."""
        at = self.air_at.get(name)
        if at is None:
            row[-1] -= factor * self._sheds[name].air_c
        else:
            row[at] += factor


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
