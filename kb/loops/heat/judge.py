"""How warm a loop gets: judged, with how sure that is, what would help and what would harm.

Owns: the order in which the heat of a loop is found out. Does not own: any step of it (a file each), or words.
Flow and heat depend on each other through the viscosity of the coolant: flows are solved at the mean temperature that
they lead to, within a tenth of a kelvin.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import NamedTuple

from kb.evidence.tree import Finding
from kb.formulas.flow.flow_path import Restriction
from kb.formulas.flow.flow_paths import FlowGraph, links_of
from kb.formulas.flow.pipe_network import NetworkState
from kb.formulas.heat.temperatures import warm_end_c
from kb.loops.assumptions import Given, given_or_assumed
from kb.loops.coolant import LoopCoolant
from kb.loops.flow.network import LoopNetwork, solve_ends
from kb.loops.heat.comparisons import (
    Asked,
    Comparison,
    OtherCoolant,
    compare_fin_density,
    compare_glycol,
    compare_half_flow,
    compare_order,
    compare_thickness,
    part_temperatures,
)
from kb.loops.heat.coolants import glycol_coolant
from kb.loops.heat.failures import HeatFailure, heat_failure_cases
from kb.loops.heat.findings import (
    Target,
    fan_findings,
    sound_findings,
    surface_findings,
    temperature_findings,
    uncooled_findings,
)
from kb.loops.heat.flows import HeatFlows
from kb.loops.heat.radiator_cache import RadiatorStates
from kb.loops.heat.radiators import radiator_setups
from kb.loops.heat.remedies import CoolingOption, cooling_options, heat_at_target_w
from kb.loops.heat.rule_of_thumb import RuleOfThumb, rule_of_thumb
from kb.loops.heat.sources import HeatSource, heat_sources, hydraulic_heat_w, pump_heats
from kb.loops.heat.state import HeatCase, SolvedHeat, clamped, solve_at_mean, with_flows
from kb.loops.heat.uncertainty import FLOW, PUMP_HEAT, HeatUncertainty, heat_uncertainty
from kb.loops.heat.uncertainty_inputs import FAN_SPREAD, FRICTION_SPREAD, HEAT_SPREAD, correlation_spread
from kb.loops.heat.variants import loudness_db
from kb.loops.loop import ResolvedLoop
from kb.store.snapshot import Snapshot
from schemas.questions.loop import RadiatorInLoop
from schemas.tables.assumptions import Assumption

AIR = "quantity/air-temperature"
COOLANT_TEMPERATURE = "quantity/coolant-temperature"
DELTA_T = "quantity/coolant-to-air-delta-t"
FILTER_OPEN = "quantity/filter-open-left"
PROPYLENE_GLYCOL = "propylene-glycol"
GLYCOL_SHARES_PERCENT = (25.0, 40.0)
_CLOSE_ENOUGH_K = 0.1
_MOST_ROUNDS = 6
_PERCENT = 100.0


class HeatPerformance(NamedTuple):
    """What was found about the heat of a loop.

    Attributes:
        findings: everything judged, and everything missing.
        air_c: air of the room.
        sources: cooled parts.
        case: what decides the temperatures; `None` if flows are not known.
        solved: the temperatures; `None` as above.
        pumps_w: what pumps give to the coolant.
        uncertainty: how sure the coolant-to-air temperature difference is; `None` if no coolant reaches a radiator that
            rejects heat.
        target: what the loop should reach.
        heat_at_target_w: what the cooled parts may give off at the target difference; `None` as for the uncertainty.
        sound_db: level of all fans; `None` if none runs.
        options: options, if the loop falls short.
        comparisons: how much single things matter.
        failure_cases: what failures do.
        rule: the rule of thumb; `None` if it says nothing.
        assumed: assumptions that were used.
        flow_ends: flow at both ends of what is known of the resistances, solved for the range; none as for it.
    """

    findings: tuple[Finding, ...]
    air_c: float
    sources: tuple[HeatSource, ...]
    case: HeatCase | None
    solved: SolvedHeat | None
    pumps_w: float
    uncertainty: HeatUncertainty | None
    target: Target
    heat_at_target_w: float | None
    sound_db: float | None
    options: tuple[CoolingOption, ...]
    comparisons: tuple[Comparison, ...]
    failure_cases: tuple[HeatFailure, ...]
    rule: RuleOfThumb | None
    assumed: tuple[Assumption, ...]
    flow_ends: Mapping[Restriction, NetworkState] = MappingProxyType({})

    @property
    def mean_c(self) -> float | None:
        """Mean temperature of the coolant, at which flow is best judged; `None` if it was not computed."""
        return self.case.coolant.temperature_c if self.case is not None and self.uncertainty is not None else None

    @property
    def warmest_c(self) -> float | None:
        """Upper end of the range of the warmest coolant; `None` if it was not computed."""
        if self.solved is None or self.solved.hottest_c is None or self.uncertainty is None:
            return None
        return warm_end_c(self.solved.hottest_c, self.uncertainty.high_k, self.uncertainty.likely_k)

    @property
    def pump_names(self) -> tuple[str, ...]:
        """Everything but the cooled parts that warms the coolant."""
        cooled = {source.name for source in self.sources}
        return tuple(name for name in self.case.heats_w if name not in cooled) if self.case is not None else ()

    @property
    def is_short(self) -> bool:
        """Whether the coolant gets warmer above the air than its target."""
        return self.uncertainty is not None and self.uncertainty.likely_k > self.target.delta_t_k


def judge_heat(snapshot: Snapshot, loop: ResolvedLoop, coolant: LoopCoolant, network: LoopNetwork) -> HeatPerformance:
    """Judge how warm a loop gets.

    Args:
        snapshot: the knowledge.
        loop: the loop.
        coolant: what flows.
        network: its ways; if it has gaps, only these are reported.

    Raises:
        QuestionError: if a radiator has more fans than places, or air that cannot be.
    """
    return _Judge(snapshot, loop, coolant, network).performance()


class _Judge:
    """Judges the heat of one loop; used once."""

    def __init__(self, snapshot: Snapshot, loop: ResolvedLoop, coolant: LoopCoolant, network: LoopNetwork) -> None:
        self._snapshot = snapshot
        self._loop = loop
        self._coolant = coolant
        self._network = network
        self._flows = HeatFlows(snapshot, loop, network)
        self._states = RadiatorStates()
        self._used: list[Assumption] = []
        self._air_c = self._room_air()
        self._target = self._wishes()
        self._setups, self._setup_gaps = radiator_setups(snapshot, loop, self._air_c)
        self._sources, self._source_gaps = heat_sources(loop)

    def performance(self) -> HeatPerformance:
        """Return what was found."""
        gaps = (*self._network.gaps, *self._setup_gaps, *self._source_gaps)
        rule = rule_of_thumb(self._snapshot, self._sources, self._setups)
        fans = tuple(fan_findings(self._snapshot, self._setups))
        empty = HeatPerformance(
            findings=(*gaps, *fans),
            air_c=self._air_c,
            sources=self._sources,
            case=None,
            solved=None,
            pumps_w=0.0,
            uncertainty=None,
            target=self._target,
            heat_at_target_w=None,
            sound_db=None,
            options=(),
            comparisons=(),
            failure_cases=(),
            rule=rule,
            assumed=tuple(self._used),
        )
        return empty if self._network.gaps else self._solved(empty)

    def _solved(self, empty: HeatPerformance) -> HeatPerformance:
        """Fill in what follows from flows that are known."""
        case, solved, state = self._balanced()
        pumps = sum(heat for name, heat in case.heats_w.items() if name not in {one.name for one in self._sources})
        findings = list(empty.findings)
        if not self._setup_gaps:
            findings += uncooled_findings(self._snapshot, solved, self._sources)
        sound = loudness_db(case)
        findings += sound_findings(self._snapshot, self._loop.question.name, sound, self._target)
        partly = empty._replace(
            findings=tuple(findings), case=case, solved=solved, pumps_w=pumps, sound_db=sound, assumed=tuple(self._used)
        )
        if solved.delta_t_k is None or solved.state.heat_w <= 0:
            return partly
        known = case._replace(air_guess_c=solved.state.air_in_c)
        return self._judged(partly, Asked(known, solved, solved.delta_t_k, self._sources), state)

    def _judged(self, partly: HeatPerformance, asked: Asked, state: NetworkState) -> HeatPerformance:
        """Fill in what follows from temperatures that are known."""
        flow_ends = solve_ends(self._network, asked.case.coolant, state.flows_l_min)
        uncertain = self._uncertain(asked, state, flow_ends)
        uncertainty = heat_uncertainty(asked.case, asked.solved, correlation_spread(self._snapshot), uncertain)
        self._used += [
            row for one in (HEAT_SPREAD, FRICTION_SPREAD, FAN_SPREAD) if (row := self._snapshot.assumption(one))
        ]
        place = self._loop.question.name
        judged_at = given_or_assumed(self._snapshot, self._loop, COOLANT_TEMPERATURE)
        surfaces = part_temperatures(self._sources, asked.case, asked.solved)
        findings = (
            *partly.findings,
            *temperature_findings(self._snapshot, place, asked, uncertainty, self._target, judged_at),
            *surface_findings(self._snapshot, self._sources, surfaces),
        )
        short = uncertainty.likely_k > self._target.delta_t_k
        failure_cases = heat_failure_cases(asked, self._flows, self._running_pumps(asked), self._open_left(asked))
        return partly._replace(
            findings=findings,
            uncertainty=uncertainty,
            heat_at_target_w=heat_at_target_w(asked, self._target.delta_t_k),
            options=cooling_options(self._snapshot, self._flows, asked, self._target.delta_t_k) if short else (),
            comparisons=tuple(self._comparisons(asked)),
            failure_cases=failure_cases,
            assumed=tuple(self._used),
            flow_ends=flow_ends,
        )

    def _room_air(self) -> float:
        """Return the air of the room: as stated, else the coolest that radiators are said to get, else as assumed."""
        if self._loop.question.air_c is not None:
            return self._loop.question.air_c
        radiators = [part.asked for part in self._loop.parts.values() if isinstance(part.asked, RadiatorInLoop)]
        stated = [one.air_c for one in radiators if one.air_c is not None]
        if stated and len(stated) == len(radiators):
            return min(stated)
        return self._given(AIR).value

    def _wishes(self) -> Target:
        asked = self._loop.question.target
        if asked.coolant_to_air_delta_t_k is not None:
            return Target(asked.coolant_to_air_delta_t_k, True, asked.sound_level_db)
        return Target(self._given(DELTA_T).value, False, asked.sound_level_db)

    def _given(self, quantity: str) -> Given:
        given = given_or_assumed(self._snapshot, self._loop, quantity)
        if given.row is not None:
            self._used.append(given.row)
        return given

    def _balanced(self) -> tuple[HeatCase, SolvedHeat, NetworkState]:
        """Return the loop at the mean temperature that its flows lead to."""
        mean = clamped(given_or_assumed(self._snapshot, self._loop, COOLANT_TEMPERATURE).value)
        air_c: Mapping[str, float] = {}
        for _ in range(_MOST_ROUNDS):
            state = self._flows.state(self._coolant.at(mean))
            known = self._case(state, mean)._replace(air_guess_c=air_c)
            case, solved = solve_at_mean(known, self._coolant.at)
            air_c = solved.state.air_in_c
            reached, mean_before = case.coolant.temperature_c, mean
            mean = reached
            if abs(reached - mean_before) < _CLOSE_ENOUGH_K:
                break
        return case, solved, state

    def _case(self, state: NetworkState, mean_c: float) -> HeatCase:
        heats = {source.name: source.heat_w for source in self._sources}
        return HeatCase(
            branches=self._flows.branches,
            flows_l_min=state.flows_l_min,
            flow_graph=FlowGraph(links_of(self._flows.branches, state.flows_l_min)),
            setups={setup.name: setup for setup in self._setups},
            heats_w={**heats, **pump_heats(self._snapshot, self._loop, state)},
            coolant=self._coolant.at(mean_c),
            radiators=self._states,
            air_c=self._air_c,
            budget=self._loop.budget,
        )

    def _uncertain(
        self, asked: Asked, state: NetworkState, flow_ends: Mapping[Restriction, NetworkState]
    ) -> Mapping[str, tuple[HeatCase, ...]]:
        """Return the loop at both ends of its flow, and with no more heat from pumps than their work on the coolant."""
        ends = [flow_ends[one].flows_l_min for one in (Restriction.HIGH, Restriction.LOW)]
        sources = {source.name for source in self._sources}
        least = {
            name: heat if name in sources else min(heat, hydraulic_heat_w(state, name))
            for name, heat in asked.case.heats_w.items()
        }
        return {
            FLOW: tuple(with_flows(asked.case, end) for end in ends),
            PUMP_HEAT: (asked.case._replace(heats_w=least),),
        }

    def _running_pumps(self, asked: Asked) -> tuple[str, ...]:
        sources = {source.name for source in self._sources}
        pumps = [name for name in asked.case.heats_w if name not in sources]
        return tuple(name for name in pumps if name in asked.solved.state.inlets_c)

    def _open_left(self, asked: Asked) -> float:
        filters = any(one.kind == "filter" for setup in asked.case.setups.values() for one in setup.obstacles)
        return self._given(FILTER_OPEN).value / _PERCENT if filters else 1.0

    def _comparisons(self, asked: Asked) -> Iterator[Comparison]:
        yield compare_half_flow(asked)
        yield compare_order(asked)
        yield compare_glycol(asked, *self._coolants(asked))
        for one in (compare_fin_density(self._snapshot, asked), compare_thickness(self._snapshot, asked)):
            if one is not None:
                yield one

    def _coolants(self, asked: Asked) -> tuple[OtherCoolant, list[OtherCoolant]]:
        """Return water and two shares of the glycol of the loop, of propylene glycol if it is water."""
        glycol = self._coolant.glycol or PROPYLENE_GLYCOL
        water = self._other(asked, "water", glycol_coolant(self._snapshot, glycol, 0.0))
        others = [
            self._other(asked, f"{share:g} %", glycol_coolant(self._snapshot, glycol, share))
            for share in GLYCOL_SHARES_PERCENT
        ]
        return water, others

    def _other(self, asked: Asked, name: str, coolant: LoopCoolant) -> OtherCoolant:
        flows = self._flows.flows(coolant.at(asked.case.coolant.temperature_c))
        return OtherCoolant(name, coolant, flows)
