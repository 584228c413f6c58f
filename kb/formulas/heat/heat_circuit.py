"""Temperatures of the coolant all around a loop, from flows, heats and radiators as they are.

Owns: the steady balance of heat at every node and of the air between radiators. Does not own: conductances
(`kb/formulas/heat/radiator_performance.py`) or flows (`kb/formulas/flow/pipe_network.py`).
With flows and conductances given the balance is linear: coolant mixes where branches meet, takes up heat in blocks and
pumps, and gives it off in radiators; the air of a radiator may have passed another one before. Any arrangement of
branches is solved at once, several circuits and branches that run backwards included.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from kb.formulas.flow.flow_paths import FlowGraph
from kb.formulas.solvers.linear_ordered import solve_ordered


class HeatRejection(NamedTuple):
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
        rejected_w: radiator -> heat it gives off.
        air_in_c: radiator -> temperature of its air.
        air_out_c: radiator -> temperature of the air that leaves it.
        stranded: branches with heat and without flow.
        unrejected: branches with heat in circuits where no radiator gives any off.
        heat_w: heat of all branches whose circuit was balanced.
        balance_error: heat in less heat out over heat in [-]; 0 without heat.
    """

    nodes_c: Mapping[str, float]
    inlets_c: Mapping[str, float]
    outlets_c: Mapping[str, float]
    rejected_w: Mapping[str, float]
    air_in_c: Mapping[str, float]
    air_out_c: Mapping[str, float]
    stranded: tuple[str, ...]
    unrejected: tuple[str, ...]
    heat_w: float
    balance_error: float


class RadiatorBalance(NamedTuple):
    """The balance of heat as radiators see it.

    Attributes:
        flow_graph: the circuits in which a radiator gives off heat.
        inlets_c: radiator in them -> temperature of the coolant that enters it.
        air_in_c: radiator -> temperature of its air.
        coolant_c: place of the flow graph -> temperature of the coolant that leaves it.
    """

    flow_graph: FlowGraph
    inlets_c: Mapping[str, float]
    air_in_c: Mapping[str, float]
    coolant_c: Sequence[float]


class Balancing:
    """The balance of heat of a loop, for radiators that reject more or less."""

    def __init__(
        self,
        flow_graph: FlowGraph,
        heats_w: Mapping[str, float],
        rejections: Mapping[str, HeatRejection],
        capacity: float,
    ) -> None:
        """Work out what does not depend on how much heat radiators reject.

        Args and errors: as `balance_heat`.
        """
        self.flow_graph = flow_graph.cooled([name for name, one in rejections.items() if one.conductance_w_per_k > 0])
        flows = self.flow_graph.flows_l_min
        fed = tuple([(name, tuple(one.air_from)) for name, one in rejections.items() if one.air_from])
        self._reach = self.flow_graph.reach(tuple([name for name in rejections if name in flows]), fed)
        self._warmth = self._reach.warmth(heats_w)
        self.capacity = capacity
        course = self._reach.course
        self._inlet_at = {name: at for at, name in enumerate(course.radiators, len(course.junctions))}
        self._air_at = {name: at for at, name in enumerate(course.fed, len(self._reach.mixes))}
        self._carried = [capacity * flows[name] for name in course.radiators]
        self._constants = [heat / capacity for heat in self._warmth.places] + [0.0] * len(course.fed)

    def solve(self, rejections: Mapping[str, HeatRejection]) -> RadiatorBalance:
        """Return coolant and air that enter each radiator.

        Args:
            rejections: as before, but for conductances and air capacities.

        Raises:
            NoSolutionError: if air goes round between radiators without any of it being fresh.
        """
        course, junctions = self._reach.course, len(self._reach.course.junctions)
        cooling = [
            (rejections[name].conductance_w_per_k / carried, self._air_at.get(name), rejections[name].air_c)
            for name, carried in zip(course.radiators, self._carried, strict=True)
        ]
        constants = list(self._constants)
        terms = [self._mixed(at, mix, cooling, constants) for at, mix in enumerate(self._reach.mixes)]
        terms += [self._breathed(at, rejections[name], rejections, constants) for name, at in self._air_at.items()]
        found = solve_ordered(course.order, terms, constants)
        air = {
            name: found[self._air_at[name]] if name in self._air_at else one.air_c for name, one in rejections.items()
        }
        inlets = dict(zip(course.radiators, found[junctions:], strict=False))
        sent = [
            inlet - cools * (inlet - (known if at is None else found[at]))
            for inlet, (cools, at, known) in zip(inlets.values(), cooling, strict=True)
        ]
        return RadiatorBalance(self.flow_graph, inlets, air, found[:junctions] + sent)

    def nodes_c(self, balance: RadiatorBalance) -> list[float]:
        """Return the temperature of every node.

        Args:
            balance: as this solved it.
        """
        return [
            balance.coolant_c[place] + heat / self.capacity
            for place, heat in zip(self._reach.course.place_of, self._warmth.nodes, strict=True)
        ]

    def _mixed(
        self,
        place: int,
        mix: Sequence[tuple[int, float]],
        cooling: Sequence[tuple[float, int | None, float]],
        constants: list[float],
    ) -> list[tuple[int, float]]:
        """Coolant mixes from what leaves other places, warmed on its way."""
        junctions = len(self._reach.course.junctions)
        terms = []
        for other, share in mix:
            if other < junctions:
                terms.append((other, share))
                continue
            cools, air_at, air_c = cooling[other - junctions]
            from_air = share * cools
            terms.append((other, share - from_air))
            if air_at is None:
                constants[place] += from_air * air_c
            else:
                terms.append((air_at, from_air))
        return terms

    def _breathed(
        self, place: int, rejection: HeatRejection, rejections: Mapping[str, HeatRejection], constants: list[float]
    ) -> list[tuple[int, float]]:
        """Air that enters a radiator is fresh, or has passed others and warmed there."""
        constants[place] = (1 - sum(rejection.air_from.values())) * rejection.air_c
        terms = []
        for other, share in rejection.air_from.items():
            feeding = rejections[other]
            warming = share * _warming(feeding) if other in self._inlet_at else 0.0
            if warming:
                terms.append((self._inlet_at[other], warming))
            if other in self._air_at:
                terms.append((self._air_at[other], share - warming))
            else:
                constants[place] += (share - warming) * feeding.air_c
        return terms


def _warming(rejection: HeatRejection) -> float:
    """Return how far air warms on its way through a radiator, as a share of the coolant-to-air temperature difference
    [-].
    """
    return rejection.conductance_w_per_k / rejection.air_capacity_w_per_k if rejection.air_capacity_w_per_k > 0 else 0.0


def balance_heat(
    flow_graph: FlowGraph, heats_w: Mapping[str, float], rejections: Mapping[str, HeatRejection], capacity: float
) -> HeatState:
    """Return the temperatures at which every node, and the loop as a whole, is in balance.

    Args:
        flow_graph: where coolant flows; at every node as much enters as leaves.
        heats_w: branch -> heat it takes up [W]; branches without flow may be among them.
        rejections: branch -> what a radiator does; branches without flow may be among them.
        capacity: heat capacity flow of 1 l/min [W/K].

    Raises:
        NoSolutionError: if air goes round between radiators without any of it being fresh, or next to nothing flows.

    Validity: steady state, one heat capacity all around, complete mixing where branches meet, no heat through walls of
    tubes and parts.
    Source: balance of energy at every node.

    >>> from kb.formulas.flow.flow_paths import Link
    >>> ring = FlowGraph([Link("block", "a", "b", 4.0), Link("radiator", "b", "a", 4.0)])
    >>> state = balance_heat(ring, {"block": 280.0}, {"radiator": HeatRejection(20.0, 30.0, 25.0, {})}, 70.0)
    >>> round(state.inlets_c["radiator"], 9), round(state.inlets_c["block"], 9), abs(state.balance_error) < 1e-12
    (39.0, 38.0, True)
    """
    balancing = Balancing(flow_graph, heats_w, rejections, capacity)
    return heat_state(flow_graph, heats_w, rejections, balancing, balancing.solve(rejections))


def heat_state(
    flow_graph: FlowGraph,
    heats_w: Mapping[str, float],
    rejections: Mapping[str, HeatRejection],
    balancing: Balancing,
    balance: RadiatorBalance,
) -> HeatState:
    """Return the whole balance of heat.

    Args:
        flow_graph: as `balance_heat`, and so the next two.
        heats_w: see there.
        rejections: see there.
        balancing: made of these.
        balance: as that solved it for these radiators.
    """
    solved, air = balance.flow_graph, balance.air_in_c
    found = balancing.nodes_c(balance)
    inlets = {name: found[start] for name, start in solved.layout.starts.items()}
    rejection = {
        name: one.conductance_w_per_k * (inlets[name] - air[name]) for name, one in rejections.items() if name in inlets
    }
    outlets = dict(inlets)
    for name, flow in solved.flows_l_min.items():
        if name in heats_w or name in rejection:
            outlets[name] += (heats_w.get(name, 0.0) - rejection.get(name, 0.0)) / (balancing.capacity * flow)
    warm = [name for name, heat in heats_w.items() if heat > 0]
    heat = sum(heats_w[name] for name in heats_w if name in inlets)
    return HeatState(
        nodes_c={node: found[index] for node, index in solved.layout.nodes.items()},
        inlets_c=inlets,
        outlets_c=outlets,
        rejected_w=rejection,
        air_in_c=air,
        air_out_c={name: air[name] + _air_rise(one, rejection.get(name, 0.0)) for name, one in rejections.items()},
        stranded=tuple(name for name in warm if name not in flow_graph.flows_l_min),
        unrejected=tuple(name for name in warm if name in flow_graph.flows_l_min and name not in inlets),
        heat_w=heat,
        balance_error=(heat - sum(rejection.values())) / heat if heat > 0 else 0.0,
    )


def _air_rise(rejection: HeatRejection, heat_w: float) -> float:
    return heat_w / rejection.air_capacity_w_per_k if rejection.air_capacity_w_per_k > 0 else 0.0
