"""The heat of a loop in the shape of answers.

Owns: from what was found to what is told. Does not own: finding it (`kb/loops/heat/judge.py`) or words
(`kb/report/sentences/heat.py`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from kb.formulas.flow.flow_paths import Link
from kb.formulas.heat.louver_fin import LOWEST_HEAT_REYNOLDS
from kb.formulas.heat.radiator_performance import RadiatorState
from kb.loops.heat.comparisons import Compared, Comparison
from kb.loops.heat.failures import HeatWhatIf
from kb.loops.heat.judge import HeatDuty
from kb.loops.heat.radiators import RadiatorSetup
from kb.loops.heat.remedies import WayOut
from kb.loops.heat.rule_of_thumb import TradeRule
from kb.loops.heat.sources import HeatSource
from kb.loops.heat.state import HeatCase, SolvedHeat, clamped
from kb.loops.heat.uncertainty import HeatBand
from kb.report.answers.evidence import tell_assumed
from kb.report.sentences.findings import row_name
from kb.report.sentences.heat import (
    LEFT_OUT,
    cause_words,
    comparison_sentence,
    fans_words,
    held_properties_note,
    obstacle_note,
    recirculation_note,
    rule_sentence,
    slow_air_note,
    sound_words,
    way_needs,
    way_sentence,
    what_if_sentence,
)
from kb.store.snapshot import Snapshot
from schemas.answers.band import BandTold
from schemas.answers.heat import (
    BandCauseTold,
    ComparedTold,
    ComparisonTold,
    CoolantPointTold,
    CooledLengthTold,
    HeatSourceTold,
    HeatTold,
    HeatWhatIfTold,
    HindrancesTold,
    RadiatorHeatTold,
    StageHeatTold,
    TradeRuleTold,
    WayOutTold,
)
from schemas.verdict import worst

_PERCENT = 100.0


def tell_heat(snapshot: Snapshot, duty: HeatDuty) -> HeatTold:
    """Return the heat of a loop in the shape of answers.

    Args:
        snapshot: the knowledge.
        duty: what was found.
    """
    band, solved = duty.band, duty.solved
    over_air = band.likely_k if band is not None else None
    heat = sum(source.heat_w for source in duty.sources)
    short = duty.is_short and duty.heat_at_wanted_w is not None
    return HeatTold(
        verdict=worst(finding.verdict for finding in duty.findings),
        air_c=duty.air_c,
        heat_w=heat + duty.pumps_w,
        pumps_w=duty.pumps_w,
        coolant_over_air_k=_band(band.low_k, band.likely_k, band.high_k) if band is not None else None,
        hottest_at=solved.hottest_at if solved is not None and band is not None else None,
        coolant_mean_c=solved.mean_c if solved is not None and band is not None else None,
        coolant_hottest_c=solved.hottest_c if solved is not None and band is not None else None,
        points=tuple(_points(duty)),
        sources=tuple(_sources(duty)),
        radiators=tuple(_radiators(duty)),
        sound_level_db=duty.sound_db,
        sound=sound_words(duty.sound_db, duty.wanted.sound_db) if duty.case is not None else None,
        heat_balance_error=solved.state.balance_error if solved is not None and band is not None else None,
        band_causes=_causes(band) if band is not None else (),
        wanted_k=duty.wanted.over_air_k,
        shortfall_k=over_air - duty.wanted.over_air_k if short and over_air is not None else None,
        shortfall_w=heat - duty.heat_at_wanted_w if short and duty.heat_at_wanted_w is not None else None,
        ways_out=tuple(_way(snapshot, way) for way in duty.ways),
        trade_rule=_rule(duty.rule, over_air, duty.wanted.over_air_k) if duty.rule is not None else None,
        comparisons=tuple(_comparison(one, over_air) for one in duty.comparisons if one.cases and over_air is not None),
        what_ifs=tuple(_what_if(one) for one in duty.what_ifs),
        assumed=tell_assumed(snapshot, duty.assumed),
        notes=tuple(_range_notes(solved)) if solved is not None else (),
        left_out=LEFT_OUT,
    )


def _range_notes(solved: SolvedHeat) -> Iterator[str]:
    if solved.mean_c is not None and clamped(solved.mean_c) != solved.mean_c:
        yield held_properties_note(solved.mean_c, clamped(solved.mean_c))


def _band(low: float, likely: float, high: float) -> BandTold:
    return BandTold(low=low, likely=likely, high=high)


def _points(duty: HeatDuty) -> Iterator[CoolantPointTold]:
    if duty.case is None or duty.solved is None:
        return
    nodes = duty.solved.state.nodes_c
    links = [link for link in duty.case.circulation.links if link.start in nodes]
    for place in _in_flow_order(links, set(duty.pump_names)):
        yield CoolantPointTold(place=place, temperature_c=nodes[place])


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


def _sources(duty: HeatDuty) -> Iterator[HeatSourceTold]:
    if duty.case is None or duty.solved is None:
        return
    for source in duty.sources:
        if source.name in duty.solved.state.inlets_c:
            yield _source(duty.case, duty.solved, duty.band, source)


def _source(case: HeatCase, solved: SolvedHeat, band: HeatBand | None, source: HeatSource) -> HeatSourceTold:
    flow = abs(case.flows_l_min[source.name])
    entering = solved.state.inlets_c[source.name]
    resistance = source.resistance.at_flow(flow) if source.resistance is not None else None
    return HeatSourceTold(
        name=source.name,
        title=source.title,
        heat_w=source.heat_w,
        stages=tuple(StageHeatTold(name=stage, heat_w=heat) for stage, heat in source.stages.items()),
        flow_l_min=flow,
        coolant_in_c=entering,
        coolant_out_c=solved.state.outlets_c[source.name],
        thermal_resistance_k_per_w=_band(*resistance) if resistance is not None else None,
        surface_c=_surface(entering, resistance, source.heat_w, band) if resistance is not None else None,
        known_by=source.resistance.known_by if source.resistance is not None else None,
    )


def _surface(entering: float, resistance: tuple[float, float, float], heat: float, band: HeatBand | None) -> BandTold:
    """Return the surface with the bands of coolant and block added by the root of the sum of squares."""
    low, likely, high = (entering + one * heat for one in resistance)
    cooler = band.likely_k - band.low_k if band is not None else 0.0
    warmer = band.high_k - band.likely_k if band is not None else 0.0
    return _band(likely - math.hypot(likely - low, cooler), likely, likely + math.hypot(high - likely, warmer))


def _radiators(duty: HeatDuty) -> Iterator[RadiatorHeatTold]:
    if duty.case is None or duty.solved is None:
        return
    shed = sum(heat for heat in duty.solved.state.shed_w.values() if heat > 0)
    for name, setup in duty.case.setups.items():
        if name in duty.solved.state.inlets_c:
            yield _radiator(duty.case, duty.solved, duty.band, setup, shed)


def _radiator(
    case: HeatCase, solved: SolvedHeat, band: HeatBand | None, setup: RadiatorSetup, whole_w: float
) -> RadiatorHeatTold:
    state, name, fans = solved.radiators.get(setup.name), setup.name, setup.fans
    heat = solved.state.shed_w[name]
    own = band.radiators[name] if band is not None and name in band.radiators else None
    likely = state.conductance_w_per_k if state is not None else 0.0
    return RadiatorHeatTold(
        name=name,
        title=setup.title,
        fans=fans_words(fans),
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
        conductance_w_per_k=_band(own.low_w_per_k if own else likely, likely, own.high_w_per_k if own else likely),
        effectiveness=state.effectiveness if state is not None else 0.0,
        heat_w=heat,
        share_percent=_PERCENT * heat / whole_w if whole_w > 0 else 0.0,
        hindrances=_hindrances(state),
        limited_by=_limited_by(state),
        sound_level_db=fans.sound_db if fans is not None else None,
        notes=tuple(_notes(setup, state)),
    )


def _hindrances(state: RadiatorState | None) -> HindrancesTold | None:
    if state is None:
        return None
    shares = state.hindrances
    return HindrancesTold(
        core_percent=_PERCENT * shares.core,
        coolant_percent=_PERCENT * shares.coolant,
        air_percent=_PERCENT * shares.air,
    )


def _limited_by(state: RadiatorState | None) -> str | None:
    if state is None:
        return None
    shares = state.hindrances._asdict()
    return str(max(shares, key=lambda name: shares[name]))


def _notes(setup: RadiatorSetup, state: RadiatorState | None) -> Iterator[str]:
    if state is not None and state.louver_reynolds < LOWEST_HEAT_REYNOLDS:
        yield slow_air_note(state.louver_reynolds, LOWEST_HEAT_REYNOLDS)
    if setup.obstacle_loss > 0:
        yield obstacle_note(setup.obstacle_loss)
    if setup.air_from:
        yield recirculation_note(setup.air_from)


def _causes(band: HeatBand) -> tuple[BandCauseTold, ...]:
    return tuple(
        BandCauseTold(cause=cause_words(one.name), lowers_k=one.lowers_k, raises_k=one.raises_k) for one in band.causes
    )


def _way(snapshot: Snapshot, way: WayOut) -> WayOutTold:
    titles = [row_name(snapshot, part) for part in way.parts]
    return WayOutTold(
        way=way.way,
        sentence=way_sentence(way, titles),
        needs=way_needs(way, titles),
        parts=way.parts,
        reaches=way.reaches,
        coolant_over_air_k=way.over_air_k,
        gain_k=way.gain_k,
        sound_level_db=way.sound_db,
        sound_change_db=way.sound_change_db,
    )


def _rule(rule: TradeRule, over_air: float | None, wanted: float) -> TradeRuleTold:
    return TradeRuleTold(
        cooled=tuple(
            CooledLengthTold(name=name, overclocked=name in rule.overclocked, length_mm=length)
            for name, length in rule.asked_mm.items()
        ),
        asked_mm=rule.whole_mm,
        present_mm=rule.present_mm,
        holds=rule.holds,
        agrees=rule.holds == (over_air <= wanted) if over_air is not None else None,
        sentence=rule_sentence(rule, over_air, wanted),
        rows=tuple(row.id for row in rule.rows),
    )


def _comparison(one: Comparison, over_air: float) -> ComparisonTold:
    return ComparisonTold(
        subject=one.subject,
        cases=tuple(_compared(case) for case in one.cases),
        crossover_rpm=one.crossover_rpm,
        sentence=comparison_sentence(one, over_air),
    )


def _compared(case: Compared) -> ComparedTold:
    return ComparedTold(
        case=case.case,
        coolant_over_air_k=case.over_air_k,
        change_k=case.change_k,
        largest_part_change_k=case.part_change_k,
        part=case.part,
        flow_l_min=case.flow_l_min,
        causes=tuple(_glycol_causes(case.causes)),
    )


def _glycol_causes(causes: Mapping[str, float]) -> Iterator[BandCauseTold]:
    for name, change in causes.items():
        yield BandCauseTold(cause=name, lowers_k=max(0.0, -change), raises_k=max(0.0, change))


def _what_if(one: HeatWhatIf) -> HeatWhatIfTold:
    return HeatWhatIfTold(
        what=one.what,
        part=one.part,
        coolant_over_air_k=one.over_air_k,
        change_k=one.change_k,
        coolant_hottest_c=one.hottest_c,
        sentence=what_if_sentence(one),
    )
