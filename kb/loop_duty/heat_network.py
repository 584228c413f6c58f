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


class Circulation:
    """Where coolant flows, with everything worked out that depends on flows alone; solved for many heats.

    Attributes:
        links: the branches that coolant flows through.
    """

    def __init__(self, links: Sequence[Link]) -> None:
        self.links = tuple(links)
        nodes = dict.fromkeys(node for link in links for node in (link.start, link.end))
        self.nodes: Mapping[str, int] = {node: index for index, node in enumerate(nodes)}
        self.starts = {link.name: self.nodes[link.start] for link in links}
        self.ends = {link.name: self.nodes[link.end] for link in links}
        self.circuit_of = _circuits(self.links)
        self._mixing: NDArray[np.float64] = np.zeros((len(nodes), len(nodes)))
        for link in links:
            end, start = self.nodes[link.end], self.nodes[link.start]
            self._mixing[end, end] += link.flow_l_min
            self._mixing[end, start] -= link.flow_l_min

    def equations(self, capacity: float, more: int) -> NDArray[np.float64]:
        """Return the balance of coolant that only mixes [W/K], with room for further unknowns.

        Args:
            capacity: heat capacity flow of 1 l/min [W/K].
            more: how many unknowns there are beside the nodes.
        """
        size = len(self.nodes)
        matrix = np.zeros((size + more, size + more))
        np.multiply(self._mixing, capacity, out=matrix[:size, :size])
        return matrix

    def cooled(self, sheds: Mapping[str, Shed]) -> Circulation:
        """Return those circuits in which a radiator gives off heat.

        Args:
            sheds: what radiators do.
        """
        cooled = {
            self.circuit_of[name] for name in sheds if name in self.starts and sheds[name].conductance_w_per_k > 0
        }
        if all(circuit in cooled for circuit in self.circuit_of.values()):
            return self
        return Circulation([link for link in self.links if self.circuit_of[link.name] in cooled])


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
        numpy.linalg.LinAlgError: if air goes round between radiators without any of it being fresh.

    Validity: steady state, one heat capacity all around, complete mixing where branches meet, no heat through walls of
    tubes and parts.
    Source: balance of energy at every node.

    >>> ring = Circulation([Link("block", "a", "b", 4.0), Link("radiator", "b", "a", 4.0)])
    >>> state = balance_heat(ring, {"block": 280.0}, {"radiator": Shed(20.0, 30.0, 25.0, {})}, 70.0)
    >>> round(state.inlets_c["radiator"], 9), round(state.inlets_c["block"], 9), abs(state.balance_error) < 1e-12
    (39.0, 38.0, True)
    """
    solved = circulation.cooled(sheds)
    found, air = _solved(solved, heats_w, sheds, capacity)
    inlets = {name: found[start] for name, start in solved.starts.items()}
    shed = {name: one.conductance_w_per_k * (inlets[name] - air[name]) for name, one in sheds.items() if name in inlets}
    outlets = dict(inlets)
    for link in solved.links:
        if link.name in heats_w or link.name in shed:
            taken = heats_w.get(link.name, 0.0) - shed.get(link.name, 0.0)
            outlets[link.name] += taken / (capacity * link.flow_l_min)
    warm = [name for name, heat in heats_w.items() if heat > 0]
    heat = sum(heats_w[name] for name in heats_w if name in inlets)
    return HeatState(
        nodes_c={node: found[index] for node, index in solved.nodes.items()},
        inlets_c=inlets,
        outlets_c=outlets,
        shed_w=shed,
        air_in_c=air,
        air_out_c={name: air[name] + _air_rise(one, shed.get(name, 0.0)) for name, one in sheds.items()},
        stranded=tuple(name for name in warm if name not in circulation.starts),
        unshed=tuple(name for name in warm if name in circulation.starts and name not in inlets),
        heat_w=heat,
        balance_error=(heat - sum(shed.values())) / heat if heat > 0 else 0.0,
    )


def inlets_alone(
    circulation: Circulation, heats_w: Mapping[str, float], sheds: Mapping[str, Shed], capacity: float
) -> dict[str, float]:
    """Return the temperature of the coolant that enters each radiator, and nothing else of the balance.

    Args, errors, validity and source: as `balance_heat`.
    """
    solved = circulation.cooled(sheds)
    found, _ = _solved(solved, heats_w, sheds, capacity)
    return {name: found[solved.starts[name]] for name in sheds if name in solved.starts}


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


def _solved(
    circulation: Circulation, heats_w: Mapping[str, float], sheds: Mapping[str, Shed], capacity: float
) -> tuple[list[float], dict[str, float]]:
    """Return the temperature of every node, and of the air of every radiator."""
    size = len(circulation.nodes)
    air = {name: size + index for index, name in enumerate(sheds)}
    matrix = circulation.equations(capacity, len(air))
    right: NDArray[np.float64] = np.zeros(size + len(air))
    for name, heat in heats_w.items():
        if name in circulation.ends:
            right[circulation.ends[name]] += heat
    for name, shed in sheds.items():
        if name in circulation.ends:
            matrix[circulation.ends[name], circulation.starts[name]] += shed.conductance_w_per_k
            matrix[circulation.ends[name], air[name]] -= shed.conductance_w_per_k
        matrix[air[name], air[name]] += 1.0
        right[air[name]] += (1 - sum(shed.air_from.values())) * shed.air_c
        for other, share in shed.air_from.items():
            warmed = _warmed(circulation, other, sheds[other])
            matrix[air[name], air[other]] -= share * (1 - warmed)
            if warmed:
                matrix[air[name], circulation.starts[other]] -= share * warmed
    found: list[float] = np.linalg.solve(matrix, right).tolist()
    return found, {name: found[index] for name, index in air.items()}


def _warmed(circulation: Circulation, name: str, shed: Shed) -> float:
    """Return how far air warms on its way through a radiator, as a share of coolant over air [-]."""
    if name not in circulation.starts or shed.air_capacity_w_per_k <= 0:
        return 0.0
    return shed.conductance_w_per_k / shed.air_capacity_w_per_k
