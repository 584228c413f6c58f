"""A loop with everything that decides its temperatures, and the temperatures.

Owns: bringing radiators, coolant, flows and heats into balance. Does not own: any of these, how sure the result is
(`kb/loops/heat/uncertainty.py`), or what it means.
Properties of the coolant are taken at one mean temperature, so that energy closes exactly; conductances do not depend
on where in the loop a radiator sits beyond that.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType
from typing import NamedTuple

from kb.formulas.coolant.coolant import Coolant
from kb.formulas.flow.flow_paths import Branch, FlowGraph, links_of
from kb.formulas.heat.heat_circuit import Balancing, HeatRejection, HeatState, RadiatorBalance, heat_state
from kb.formulas.heat.radiator_performance import RadiatorState
from kb.formulas.heat.temperatures import coolant_to_air_delta_t_k
from kb.loops.deadline import UNLIMITED, Budget
from kb.loops.heat.radiator_cache import RadiatorStates
from kb.loops.heat.radiators import RadiatorSetup

_L_MIN_PER_M3_S = 60_000.0
_CLOSE_K = 1e-3
_CLOSE_ALONE_K = 0.3
_MOST_ROUNDS = 50
COLDEST_C, HOTTEST_C = 1.0, 95.0  # beyond them properties are kept: no loop is meant to run there


class HeatCase(NamedTuple):
    """What decides the temperatures of a loop.

    Attributes:
        branches: the branches of the network of the coolant.
        flows_l_min: branch -> flow from start to end [l/min].
        flow_graph: the same as the balance of heat sees it.
        setups: radiator -> how it is set up.
        heats_w: branch -> heat it takes up [W].
        coolant: properties at the mean temperature.
        radiators: solves them, and remembers what it solved for this question.
        air_c: air of the room, over which the coolant is counted.
        air_guess_c: radiator -> air that enters, where a loop much like this one has given it: a start, no input.
        budget: how long all of it may be thought about.
    """

    branches: Sequence[Branch]
    flows_l_min: Mapping[str, float]
    flow_graph: FlowGraph
    setups: Mapping[str, RadiatorSetup]
    heats_w: Mapping[str, float]
    coolant: Coolant
    radiators: RadiatorStates
    air_c: float
    air_guess_c: Mapping[str, float] = MappingProxyType({})
    budget: Budget = UNLIMITED


class SolvedHeat(NamedTuple):
    """A loop in balance.

    Attributes:
        state: all temperatures.
        radiators: radiator -> what it does; only those that reject heat.
        delta_t_k: hottest coolant that enters a radiator over the air of the room; `None` if none gets any.
        hottest_at: that radiator.
        mean_c: mean temperature of the coolant; `None` as above.
    """

    state: HeatState
    radiators: Mapping[str, RadiatorState]
    delta_t_k: float | None
    hottest_at: str | None
    mean_c: float | None

    @property
    def hottest_c(self) -> float | None:
        """The warmest coolant of the loop."""
        return max(self.state.nodes_c.values(), default=None)


def with_flows(case: HeatCase, flows_l_min: Mapping[str, float], branches: Sequence[Branch] | None = None) -> HeatCase:
    """Return a loop with other flows, perhaps on other ways.

    Args:
        case: the loop.
        flows_l_min: branch -> flow from start to end [l/min].
        branches: the branches; by default those of the loop.
    """
    branches = case.branches if branches is None else branches
    flow_graph = FlowGraph(links_of(branches, flows_l_min), case.flow_graph)
    return case._replace(branches=branches, flows_l_min=flows_l_min, flow_graph=flow_graph)


def capacity_w_per_k(coolant: Coolant) -> float:
    """Return the heat capacity flow of 1 l/min [W/K].

    Args:
        coolant: density and heat capacity.

    Source: definition.

    >>> from kb.formulas.coolant.coolant import water_at
    >>> round(capacity_w_per_k(water_at(30.0)), 1)
    69.4
    """
    return coolant.density_kg_per_m3 * coolant.heat_capacity_j_per_kg_k / _L_MIN_PER_M3_S


def clamped(temperature_c: float) -> float:
    """Return a temperature within the range in which properties of coolant are asked for [degC].

    Args:
        temperature_c: any temperature [degC].
    """
    return min(max(temperature_c, COLDEST_C), HOTTEST_C)


def rejection_of(setup: RadiatorSetup, state: RadiatorState | None) -> HeatRejection:
    """Return a radiator as the balance of heat sees it.

    Args:
        setup: the radiator.
        state: what it does; `None` if it rejects nothing.
    """
    if state is None:
        return HeatRejection(0.0, 0.0, setup.air_c, setup.air_from)
    return HeatRejection(state.conductance_w_per_k, state.air_capacity_w_per_k, setup.air_c, setup.air_from)


def solve_heat(case: HeatCase) -> SolvedHeat:
    """Return the temperatures of a loop.

    Air that passed another radiator is warmer than its own, which changes its density a little; radiators are solved
    anew until that changes nothing any more.

    Args:
        case: the loop.
    """
    radiators, rejections, balancing, balance = _settled(case, _CLOSE_K)
    state = heat_state(case.flow_graph, case.heats_w, rejections, balancing, balance)
    return read_state(case, state, {name: state for name, state in radiators.items() if state is not None})


def _settled(
    case: HeatCase, close_k: float
) -> tuple[Mapping[str, RadiatorState | None], Mapping[str, HeatRejection], Balancing, RadiatorBalance]:
    """Return radiators whose air is that which they lead to."""
    case.budget.check("heat")
    air = {name: case.air_guess_c.get(name, setup.air_c) for name, setup in case.setups.items()}
    balancing: Balancing | None = None
    radiators: dict[str, RadiatorState | None] = {}
    rejections: dict[str, HeatRejection] = {}
    changed = list(case.setups)
    for _ in range(_MOST_ROUNDS):
        for name in changed:
            setup, flow = case.setups[name], case.flows_l_min.get(name, 0.0)
            radiators[name] = case.radiators.state(setup, case.coolant, flow, air[name])
            rejections[name] = rejection_of(setup, radiators[name])
        balancing = balancing or Balancing(case.flow_graph, case.heats_w, rejections, capacity_w_per_k(case.coolant))
        balance = balancing.solve(rejections)
        moved = {name: after for name, after in balance.air_in_c.items() if after != air[name]}
        if all(abs(after - air[name]) < close_k for name, after in moved.items()):
            break
        air |= moved
        changed = list(moved)
    assert balancing is not None
    return radiators, rejections, balancing, balance


def delta_t_by(
    case: HeatCase, likely: Mapping[str, HeatRejection]
) -> Callable[[Mapping[str, HeatRejection]], float | None]:
    """Return what gives the coolant-to-air temperature difference with radiators as given, and nothing else; `None` if
    no coolant reaches one.

    Args:
        case: the loop.
        likely: what its radiators do; asked about are others that reject a little more or less, or nothing.
    """
    capacity = capacity_w_per_k(case.coolant)
    rejecting = {name for name, one in likely.items() if one.conductance_w_per_k > 0}
    usual = Balancing(case.flow_graph, case.heats_w, likely, capacity)

    def delta_t_of(rejections: Mapping[str, HeatRejection]) -> float | None:
        case.budget.check("heat")
        same = {name for name, one in rejections.items() if one.conductance_w_per_k > 0} == rejecting
        balancing = usual if same else Balancing(case.flow_graph, case.heats_w, rejections, capacity)
        return _delta_t(case, balancing.solve(rejections))

    return delta_t_of


def _delta_t(case: HeatCase, balance: RadiatorBalance) -> float | None:
    return coolant_to_air_delta_t_k(balance.inlets_c.values(), case.air_c) if balance.inlets_c else None


class DeltaT(NamedTuple):
    """How warm a loop gets, and nothing else.

    Attributes:
        delta_t_k: hottest coolant that enters a radiator over the air of the room.
        air_in_c: radiator -> temperature of its air.
    """

    delta_t_k: float
    air_in_c: Mapping[str, float]


def solve_delta_t(case: HeatCase) -> DeltaT | None:
    """Return coolant-to-air temperature difference as `solve_heat` does; `None` if no coolant reaches a radiator.

    Air warmed by other radiators may be off by `_CLOSE_ALONE_K` when its density is asked for: a hundredth of a kelvin.

    Args:
        case: the loop.
    """
    *_, balance = _settled(case, _CLOSE_ALONE_K)
    delta_t = _delta_t(case, balance)
    return None if delta_t is None else DeltaT(delta_t, balance.air_in_c)


def read_state(case: HeatCase, state: HeatState, radiators: Mapping[str, RadiatorState]) -> SolvedHeat:
    """Return a balance with what is read from it.

    Args:
        case: the loop.
        state: its balance.
        radiators: what those radiators do that reject heat.
    """
    inlets = {name: state.inlets_c[name] for name in case.setups if name in state.inlets_c}
    if not inlets:
        return SolvedHeat(state, radiators, None, None, None)
    hottest = max(inlets, key=lambda name: inlets[name])
    mean = sum(state.inlets_c.values()) / len(state.inlets_c)
    return SolvedHeat(state, radiators, coolant_to_air_delta_t_k(inlets.values(), case.air_c), hottest, mean)


def solve_at_mean(case: HeatCase, coolant_at: Callable[[float], Coolant]) -> tuple[HeatCase, SolvedHeat]:
    """Return a loop whose coolant has the properties of its own mean temperature, and its temperatures.

    Args:
        case: the loop with the coolant at a guess.
        coolant_at: properties at a temperature.
    """
    solved = solve_heat(case)
    for _ in range(_MOST_ROUNDS):
        mean = clamped(solved.mean_c) if solved.mean_c is not None else case.coolant.temperature_c
        if abs(mean - case.coolant.temperature_c) < _CLOSE_K:
            break
        case = case._replace(coolant=coolant_at(mean), air_guess_c=solved.state.air_in_c)
        solved = solve_heat(case)
    return case, solved
