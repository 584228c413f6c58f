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


def balance_heat(
    links: Sequence[Link], heats_w: Mapping[str, float], sheds: Mapping[str, Shed], capacity: float
) -> HeatState:
    """Return the temperatures at which every node, and the loop as a whole, is in balance.

    Args:
        links: where coolant flows; at every node as much enters as leaves.
        heats_w: branch -> heat it takes up [W]; branches without flow may be among them.
        sheds: branch -> what a radiator does; branches without flow may be among them.
        capacity: heat capacity flow of 1 l/min [W/K].

    Raises:
        numpy.linalg.LinAlgError: if air goes round between radiators without any of it being fresh.

    Validity: steady state, one heat capacity all around, complete mixing where branches meet, no heat through walls of
    tubes and parts.
    Source: balance of energy at every node.

    >>> ring = [Link("block", "a", "b", 4.0), Link("radiator", "b", "a", 4.0)]
    >>> state = balance_heat(ring, {"block": 280.0}, {"radiator": Shed(20.0, 30.0, 25.0, {})}, 70.0)
    >>> round(state.inlets_c["radiator"], 9), round(state.inlets_c["block"], 9), abs(state.balance_error) < 1e-12
    (39.0, 38.0, True)
    """
    cooled = _cooled_circuits(links, sheds)
    solved = [link for link in links if link.start in cooled]
    flowing = {link.name for link in links}
    temperatures, air = _Equations(solved, heats_w, sheds, capacity).solve()
    inlets = {link.name: temperatures[link.start] for link in solved}
    shed = {
        link.name: sheds[link.name].conductance_w_per_k * (inlets[link.name] - air[link.name])
        for link in solved
        if link.name in sheds
    }
    taken = {link.name: heats_w.get(link.name, 0.0) - shed.get(link.name, 0.0) for link in solved}
    outlets = {link.name: inlets[link.name] + taken[link.name] / (capacity * link.flow_l_min) for link in solved}
    warm = [name for name, heat in heats_w.items() if heat > 0]
    heat = sum(heats_w.get(name, 0.0) for name in inlets)
    return HeatState(
        nodes_c=temperatures,
        inlets_c=inlets,
        outlets_c=outlets,
        shed_w=shed,
        air_in_c=air,
        air_out_c={name: air[name] + _air_rise(sheds[name], shed.get(name, 0.0)) for name in sheds},
        stranded=tuple(name for name in warm if name not in flowing),
        unshed=tuple(name for name in warm if name in flowing and name not in inlets),
        heat_w=heat,
        balance_error=(heat - sum(shed.values())) / heat if heat > 0 else 0.0,
    )


def _air_rise(shed: Shed, heat_w: float) -> float:
    return heat_w / shed.air_capacity_w_per_k if shed.air_capacity_w_per_k > 0 else 0.0


def _cooled_circuits(links: Sequence[Link], sheds: Mapping[str, Shed]) -> set[str]:
    """Return the nodes of all circuits in which a radiator gives off heat."""
    leader: dict[str, str] = {}

    def find(node: str) -> str:
        while leader.setdefault(node, node) != node:
            leader[node] = node = leader[leader[node]]
        return node

    for link in links:
        leader[find(link.start)] = find(link.end)
    cooled = {find(one.start) for one in links if one.name in sheds and sheds[one.name].conductance_w_per_k > 0}
    return {node for node in leader if find(node) in cooled}


class _Equations:
    """One equation for each node, and one for the air of each radiator; used once."""

    def __init__(
        self, links: Sequence[Link], heats_w: Mapping[str, float], sheds: Mapping[str, Shed], capacity: float
    ) -> None:
        self._links = links
        self._heats_w = heats_w
        self._sheds = sheds
        self._capacity = capacity
        nodes = dict.fromkeys(node for link in links for node in (link.start, link.end))
        self._nodes = {node: index for index, node in enumerate(nodes)}
        self._air = {name: len(nodes) + index for index, name in enumerate(sheds)}
        size = len(nodes) + len(sheds)
        self._matrix: NDArray[np.float64] = np.zeros((size, size))
        self._right: NDArray[np.float64] = np.zeros(size)

    def solve(self) -> tuple[dict[str, float], dict[str, float]]:
        """Return the temperature of every node and of the air of every radiator."""
        starts = {link.name: self._nodes[link.start] for link in self._links}
        for link in self._links:
            self._add_link(link)
        for name in self._sheds:
            self._add_air(name, starts)
        found = np.linalg.solve(self._matrix, self._right).tolist()
        nodes = {node: found[index] for node, index in self._nodes.items()}
        return nodes, {name: found[index] for name, index in self._air.items()}

    def _add_link(self, link: Link) -> None:
        """What a branch brings into the node at its end: entering coolant, heat, less what a radiator takes out."""
        start, end, carried = self._nodes[link.start], self._nodes[link.end], self._capacity * link.flow_l_min
        self._matrix[end, end] += carried
        self._matrix[end, start] -= carried
        self._right[end] += self._heats_w.get(link.name, 0.0)
        if link.name in self._sheds:
            conductance = self._sheds[link.name].conductance_w_per_k
            self._matrix[end, start] += conductance
            self._matrix[end, self._air[link.name]] -= conductance

    def _add_air(self, name: str, starts: Mapping[str, int]) -> None:
        """Air of a radiator: its own, and what comes out of others, each warmed on its way through that one."""
        row, shed = self._air[name], self._sheds[name]
        self._matrix[row, row] += 1.0
        self._right[row] += (1 - sum(shed.air_from.values())) * shed.air_c
        for other, share in shed.air_from.items():
            giving = self._sheds[other]
            warmed = 0.0
            if other in starts and giving.air_capacity_w_per_k > 0:
                warmed = giving.conductance_w_per_k / giving.air_capacity_w_per_k
                self._matrix[row, starts[other]] -= share * warmed
            self._matrix[row, self._air[other]] -= share * (1 - warmed)
