"""The heat of a loop in the shape of answers.

Owns: from what was found to what is reported. Does not own: finding it (`kb/loops/heat/judge.py`) or words
(`kb/report/sentences/heat.py`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from kb.evidence.tree import verdict_of
from kb.formulas.flow.flow_paths import Link
from kb.formulas.heat.louver_fin import LOWEST_HEAT_REYNOLDS
from kb.formulas.heat.radiator_performance import RadiatorState
from kb.loops.heat.comparisons import Compared, Comparison
from kb.loops.heat.failures import HeatFailure
from kb.loops.heat.judge import HeatPerformance
from kb.loops.heat.radiators import RadiatorSetup
from kb.loops.heat.remedies import CoolingOption
from kb.loops.heat.rule_of_thumb import RuleOfThumb
from kb.loops.heat.sources import HeatSource
from kb.loops.heat.state import HeatCase, SolvedHeat, clamped
from kb.loops.heat.uncertainty import HeatUncertainty
from kb.report.answers.evidence import report_assumed
from kb.report.sentences.findings import row_name
from kb.report.sentences.heat import (
    cause_words,
    comparison_sentence,
    failure_sentence,
    fans_words,
    held_properties_note,
    left_out,
    obstacle_note,
    option_needs,
    option_sentence,
    recirculation_note,
    rule_sentence,
    slow_air_note,
    sound_words,
)
from kb.store.snapshot import Snapshot
from schemas.answers.heat import (
    ComparisonCase,
    CoolantPoint,
    CooledPart,
    HeatComparison,
    HeatFailureCase,
    HeatSection,
    RadiatorHeat,
    RuleOfThumbCheck,
    RuleOfThumbLength,
    StageHeat,
    ThermalResistanceShares,
    UncertaintyCause,
)
from schemas.answers.heat import (
    CoolingOption as CoolingOptionAnswer,
)
from schemas.answers.uncertainty_range import UncertaintyRange

_PERCENT = 100.0


def report_heat(snapshot: Snapshot, performance: HeatPerformance) -> HeatSection:
    """Return the heat of a loop in the shape of answers.

    Args:
        snapshot: the knowledge.
        performance: what was found.
    """
    uncertainty, solved = performance.uncertainty, performance.solved
    delta_t = uncertainty.likely_k if uncertainty is not None else None
    heat = sum(source.heat_w for source in performance.sources)
    short = performance.is_short and performance.heat_at_target_w is not None
    return HeatSection(
        verdict=verdict_of(performance.findings),
        air_c=performance.air_c,
        heat_w=heat + performance.pumps_w,
        pumps_w=performance.pumps_w,
        coolant_to_air_delta_t_k=_uncertainty(uncertainty.low_k, uncertainty.likely_k, uncertainty.high_k)
        if uncertainty is not None
        else None,
        hottest_at=solved.hottest_at if solved is not None and uncertainty is not None else None,
        coolant_mean_c=solved.mean_c if solved is not None and uncertainty is not None else None,
        coolant_hottest_c=solved.hottest_c if solved is not None and uncertainty is not None else None,
        points=tuple(_points(performance)),
        sources=tuple(_sources(performance)),
        radiators=tuple(_radiators(snapshot, performance)),
        sound_level_db=performance.sound_db,
        sound=sound_words(snapshot, performance.sound_db, performance.target.sound_db)
        if performance.case is not None
        else None,
        heat_balance_error=solved.state.balance_error if solved is not None and uncertainty is not None else None,
        uncertainty_causes=_causes(snapshot, uncertainty) if uncertainty is not None else (),
        target_k=performance.target.delta_t_k,
        shortfall_k=delta_t - performance.target.delta_t_k if short and delta_t is not None else None,
        shortfall_w=heat - performance.heat_at_target_w if short and performance.heat_at_target_w is not None else None,
        options=tuple(_option(snapshot, option) for option in performance.options),
        rule_of_thumb=_rule(snapshot, performance.rule, delta_t, performance.target.delta_t_k)
        if performance.rule is not None
        else None,
        comparisons=tuple(
            _comparison(snapshot, one, delta_t) for one in performance.comparisons if one.cases and delta_t is not None
        ),
        failure_cases=tuple(_failure_case(snapshot, one) for one in performance.failure_cases),
        assumed=report_assumed(snapshot, performance.assumed),
        notes=tuple(_range_notes(snapshot, solved)) if solved is not None else (),
        left_out=left_out(snapshot),
    )


def _range_notes(snapshot: Snapshot, solved: SolvedHeat) -> Iterator[str]:
    if solved.mean_c is not None and clamped(solved.mean_c) != solved.mean_c:
        yield held_properties_note(snapshot, solved.mean_c, clamped(solved.mean_c))


def _uncertainty(low: float, likely: float, high: float) -> UncertaintyRange:
    return UncertaintyRange(low=low, likely=likely, high=high)


def _points(performance: HeatPerformance) -> Iterator[CoolantPoint]:
    if performance.case is None or performance.solved is None:
        return
    nodes = performance.solved.state.nodes_c
    links = [link for link in performance.case.flow_graph.links if link.start in nodes]
    for place in _in_flow_order(links, set(performance.pump_names)):
        yield CoolantPoint(place=place, temperature_c=nodes[place])


def _in_flow_order(links: list[Link], pumps: set[str]) -> dict[str, None]:
    """Return all nodes, each circuit from a pump on along the flow, a branch to its end before the next."""
    after: dict[str, list[Link]] = {}
    for link in links:
        after.setdefault(link.start, []).append(link)
    seen: dict[str, None] = {}
    for first in sorted(links, key=lambda link: link.name not in pumps):
        waiting = [first.start]
        while waiting:
            node = waiting.pop()
            if node not in seen:
                seen[node] = None
                waiting += [link.end for link in after.get(node, ())][::-1]
    return seen


def _sources(performance: HeatPerformance) -> Iterator[CooledPart]:
    if performance.case is None or performance.solved is None:
        return
    for source in performance.sources:
        if source.name in performance.solved.state.inlets_c:
            yield _source(performance.case, performance.solved, performance.uncertainty, source)


def _source(case: HeatCase, solved: SolvedHeat, uncertainty: HeatUncertainty | None, source: HeatSource) -> CooledPart:
    flow = abs(case.flows_l_min[source.name])
    entering = solved.state.inlets_c[source.name]
    resistance = source.resistance.at_flow(flow) if source.resistance is not None else None
    return CooledPart(
        name=source.name,
        title=source.title,
        heat_w=source.heat_w,
        stages=tuple(StageHeat(name=stage, heat_w=heat) for stage, heat in source.stages.items()),
        flow_l_min=flow,
        coolant_in_c=entering,
        coolant_out_c=solved.state.outlets_c[source.name],
        thermal_resistance_k_per_w=_uncertainty(*resistance) if resistance is not None else None,
        surface_c=_surface(entering, resistance, source.heat_w, uncertainty) if resistance is not None else None,
        known_by=source.resistance.known_by if source.resistance is not None else None,
    )


def _surface(
    entering: float, resistance: tuple[float, float, float], heat: float, uncertainty: HeatUncertainty | None
) -> UncertaintyRange:
    """Return the surface with the ranges of coolant and block added by the root of the sum of squares."""
    low, likely, high = (entering + one * heat for one in resistance)
    cooler = uncertainty.likely_k - uncertainty.low_k if uncertainty is not None else 0.0
    warmer = uncertainty.high_k - uncertainty.likely_k if uncertainty is not None else 0.0
    return _uncertainty(likely - math.hypot(likely - low, cooler), likely, likely + math.hypot(high - likely, warmer))


def _radiators(snapshot: Snapshot, performance: HeatPerformance) -> Iterator[RadiatorHeat]:
    if performance.case is None or performance.solved is None:
        return
    rejected = sum(heat for heat in performance.solved.state.rejected_w.values() if heat > 0)
    for name, setup in performance.case.setups.items():
        if name in performance.solved.state.inlets_c:
            yield _radiator(snapshot, performance.case, performance.solved, performance.uncertainty, setup, rejected)


def _radiator(
    snapshot: Snapshot,
    case: HeatCase,
    solved: SolvedHeat,
    uncertainty: HeatUncertainty | None,
    setup: RadiatorSetup,
    whole_w: float,
) -> RadiatorHeat:
    state, name, fans = solved.radiators.get(setup.name), setup.name, setup.fans
    heat = solved.state.rejected_w[name]
    own = uncertainty.radiators[name] if uncertainty is not None and name in uncertainty.radiators else None
    likely = state.conductance_w_per_k if state is not None else 0.0
    return RadiatorHeat(
        name=name,
        title=setup.title,
        fans=fans_words(snapshot, fans),
        arrangement=fans.arrangement if fans is not None else None,
        speed_rpm=fans.speed_rpm if fans is not None else None,
        fans_running=fans.fans if fans is not None else 0,
        air_in_c=solved.state.air_in_c[name],
        air_out_c=solved.state.air_out_c[name],
        air_flow_m3_per_h=state.air_flow_m3_per_h if state is not None else 0.0,
        pressure_pa=max((point.pressure_pa for point in state.points if point), default=0.0) if state else 0.0,
        coolant_flow_l_min=abs(case.flows_l_min[name]),
        coolant_in_c=solved.state.inlets_c[name],
        coolant_out_c=solved.state.outlets_c[name],
        conductance_w_per_k=_uncertainty(
            own.low_w_per_k if own else likely, likely, own.high_w_per_k if own else likely
        ),
        effectiveness=state.effectiveness if state is not None else 0.0,
        heat_w=heat,
        share_percent=_PERCENT * heat / whole_w if whole_w > 0 else 0.0,
        resistance_shares=_resistance_shares(state),
        limited_by=_limited_by(state),
        sound_level_db=fans.sound_db if fans is not None else None,
        notes=tuple(_notes(snapshot, setup, state)),
    )


def _resistance_shares(state: RadiatorState | None) -> ThermalResistanceShares | None:
    if state is None:
        return None
    shares = state.resistance_shares
    return ThermalResistanceShares(
        core_percent=_PERCENT * shares.core,
        coolant_percent=_PERCENT * shares.coolant,
        air_percent=_PERCENT * shares.air,
    )


def _limited_by(state: RadiatorState | None) -> str | None:
    if state is None:
        return None
    shares = state.resistance_shares._asdict()
    return str(max(shares, key=lambda name: shares[name]))


def _notes(snapshot: Snapshot, setup: RadiatorSetup, state: RadiatorState | None) -> Iterator[str]:
    if state is not None and state.louver_reynolds < LOWEST_HEAT_REYNOLDS:
        yield slow_air_note(snapshot, state.louver_reynolds, LOWEST_HEAT_REYNOLDS)
    if setup.obstacle_loss > 0:
        yield obstacle_note(snapshot, setup.obstacle_loss)
    if setup.air_from:
        yield recirculation_note(snapshot, setup.air_from)


def _causes(snapshot: Snapshot, uncertainty: HeatUncertainty) -> tuple[UncertaintyCause, ...]:
    return tuple(
        UncertaintyCause(cause=cause_words(snapshot, one.name), lowers_k=one.lowers_k, raises_k=one.raises_k)
        for one in uncertainty.causes
    )


def _option(snapshot: Snapshot, option: CoolingOption) -> CoolingOptionAnswer:
    titles = [row_name(snapshot, part) for part in option.parts]
    return CoolingOptionAnswer(
        kind=option.kind,
        sentence=option_sentence(snapshot, option, titles),
        needs=option_needs(snapshot, option, titles),
        parts=option.parts,
        reaches=option.reaches,
        coolant_to_air_delta_t_k=option.delta_t_k,
        gain_k=option.gain_k,
        sound_level_db=option.sound_db,
        sound_change_db=option.sound_change_db,
    )


def _rule(snapshot: Snapshot, rule: RuleOfThumb, delta_t: float | None, target: float) -> RuleOfThumbCheck:
    return RuleOfThumbCheck(
        cooled=tuple(
            RuleOfThumbLength(name=name, overclocked=name in rule.overclocked, length_mm=length)
            for name, length in rule.asked_mm.items()
        ),
        asked_mm=rule.whole_mm,
        present_mm=rule.present_mm,
        holds=rule.holds,
        agrees=rule.holds == (delta_t <= target) if delta_t is not None else None,
        sentence=rule_sentence(snapshot, rule, delta_t, target),
        rows=tuple(row.id for row in rule.rows),
    )


def _comparison(snapshot: Snapshot, one: Comparison, delta_t: float) -> HeatComparison:
    return HeatComparison(
        subject=one.subject,
        cases=tuple(_compared(case) for case in one.cases),
        crossover_rpm=one.crossover_rpm,
        sentence=comparison_sentence(snapshot, one, delta_t),
    )


def _compared(case: Compared) -> ComparisonCase:
    return ComparisonCase(
        case=case.case,
        coolant_to_air_delta_t_k=case.delta_t_k,
        change_k=case.change_k,
        largest_part_change_k=case.part_change_k,
        part=case.part,
        flow_l_min=case.flow_l_min,
        causes=tuple(_glycol_causes(case.causes)),
    )


def _glycol_causes(causes: Mapping[str, float]) -> Iterator[UncertaintyCause]:
    for name, change in causes.items():
        yield UncertaintyCause(cause=name, lowers_k=max(0.0, -change), raises_k=max(0.0, change))


def _failure_case(snapshot: Snapshot, one: HeatFailure) -> HeatFailureCase:
    return HeatFailureCase(
        what=one.what,
        part=one.part,
        coolant_to_air_delta_t_k=one.delta_t_k,
        change_k=one.change_k,
        coolant_hottest_c=one.hottest_c,
        sentence=failure_sentence(snapshot, one),
    )
