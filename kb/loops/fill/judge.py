"""Filling a loop: contents, what is poured in, expansion space, where to fill and drain, and what to do when.

Owns: bringing these together and holding them against limits. Does not own: any of them (one file a subject beside this
one), or reporting (`kb/report/sections/fill.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal, NamedTuple

from kb.evidence.limits import judge_number
from kb.evidence.tree import Fact, Finding, Missing, Number
from kb.formulas.coolant.coolant import CoolantError
from kb.formulas.coolant.expansion import expansion_ml, expansion_room_ml, shut_in_pressure_bar
from kb.formulas.fit.counts import count_of
from kb.loops.assumptions import Given, given_or_assumed
from kb.loops.coolant import PROPERTIES_MISSING, loop_coolant
from kb.loops.fill.glycol_dose import Dose, Mix, doses_for, mix_for
from kb.loops.fill.ports import Place, drain_points, fill_ports, lowest_parts
from kb.loops.fill.pressure_test import PressureTest, pressure_test
from kb.loops.fill.procedures import Task, change_fluid_months, maintenance_for, steps_for
from kb.loops.fill.subjects import LOOP, subjects_of
from kb.loops.fill.volumes import LoopVolume, loop_volume
from kb.loops.loop import LoopPart, ResolvedLoop
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.messages import Gap
from schemas.tables.assumptions import Assumption
from schemas.tables.procedures import Procedure
from schemas.tables.reservoirs import Reservoir

VOLUME_MISSING = Gap.VOLUME_MISSING.value
EXPANSION_SPACE_MISSING = Gap.EXPANSION_SPACE_MISSING.value
HotKnown = Literal["computed", "stated", "assumed"]


class Expansion(NamedTuple):
    """How much the coolant expands.

    Attributes:
        from_c: temperature when filled [degC].
        to_c: hottest coolant [degC].
        to_known: how that is known.
        expansion_ml: for the largest plausible contents [ml].
        expansion_space_ml: air above the mark in all reservoirs [ml]; `None` if nobody knows.
        sealed_bar: pressure of that air if it is shut in [bar]; `None` if none is left or nobody knows.
    """

    from_c: float
    to_c: float
    to_known: HotKnown
    expansion_ml: float
    expansion_space_ml: float | None
    sealed_bar: float | None


class FillPlan(NamedTuple):
    """What was found about filling and keeping a loop.

    Attributes:
        findings: every reason.
        volume: what it holds.
        mix: what is poured in; `None` if no fluid is named.
        doses: of the additives the question names.
        reserve: coolant to have at hand beyond the contents.
        expansion: `None` if the density is not known.
        test: of a pressure test with air.
        fills: where to fill.
        drains: where to drain.
        lowest: parts at the least stated height.
        steps: what to do, in order.
        tasks: what to do again and again.
        change_months: when the fluid is changed.
        assumed: rows that stood in for what nobody said.
    """

    findings: tuple[Finding, ...]
    volume: LoopVolume
    mix: Mix | None
    doses: tuple[Dose, ...]
    reserve: Given
    expansion: Expansion | None
    test: PressureTest | None
    fills: tuple[Place, ...]
    drains: tuple[Place, ...]
    lowest: tuple[str, ...]
    steps: tuple[Procedure, ...]
    tasks: tuple[Task, ...]
    change_months: float | None
    assumed: tuple[Assumption, ...]


class _Temperatures(NamedTuple):
    filled: Given
    hot: Given
    hot_known: HotKnown


def judge_fill(snapshot: Snapshot, loop: ResolvedLoop, hottest_c: float | None = None) -> FillPlan:
    """Judge how a loop is filled and kept.

    Args:
        snapshot: the knowledge.
        loop: the loop.
        hottest_c: hottest coolant as computed from the heat [degC]; else what the question states or the tables assume.
    """
    volume = loop_volume(snapshot, loop)
    mix = mix_for(snapshot, loop, volume.likely)
    temperatures = _temperatures(snapshot, loop, hottest_c)
    gaps = [
        Finding(VOLUME_MISSING, Judgement.GAP, place, (Missing(place, "contents", "volume_ml"),))
        for place in volume.unknown
    ]
    expansion, findings = _judge_expansion(snapshot, loop, volume, mix, temperatures)
    fills, drains = fill_ports(loop), drain_points(loop)
    findings += [
        *gaps,
        _count(snapshot, loop, "fill-ports", fills),
        _count(snapshot, loop, "drain-points", drains),
    ]
    subjects = subjects_of(snapshot, loop)
    tasks = maintenance_for(snapshot, subjects)
    test = pressure_test(snapshot, loop, temperatures.filled.value)
    reserve = given_or_assumed(snapshot, loop, "quantity/fill-reserve")
    used = (temperatures.filled, temperatures.hot, reserve, test and test.share, mix and mix.share)
    return FillPlan(
        findings=tuple(findings),
        volume=volume,
        mix=mix,
        doses=doses_for(loop, volume.likely),
        reserve=reserve,
        expansion=expansion,
        test=test,
        fills=fills,
        drains=drains,
        lowest=lowest_parts(loop),
        steps=steps_for(snapshot, subjects),
        tasks=tasks,
        change_months=change_fluid_months(loop, tasks),
        assumed=(*volume.assumed, *(given.row for given in used if given is not None and given.row is not None)),
    )


def _temperatures(snapshot: Snapshot, loop: ResolvedLoop, hottest_c: float | None) -> _Temperatures:
    filled = given_or_assumed(snapshot, loop, "quantity/air-temperature")
    if loop.question.air_c is not None:
        filled = Given(loop.question.air_c, Fact("question", "air_c", loop.question.air_c, "", ""), None)
    if hottest_c is not None:
        return _Temperatures(filled, Given(hottest_c, Fact("heat", "coolant_c", hottest_c, "", ""), None), "computed")
    hot = given_or_assumed(snapshot, loop, "quantity/coolant-temperature")
    return _Temperatures(filled, hot, "stated" if hot.row is None else "assumed")


def _judge_expansion(
    snapshot: Snapshot, loop: ResolvedLoop, volume: LoopVolume, mix: Mix | None, temperatures: _Temperatures
) -> tuple[Expansion | None, list[Finding]]:
    """Return how much the coolant expands and whether there is room for it."""
    coolant = mix.coolant if mix is not None else loop_coolant(snapshot, loop)
    if isinstance(coolant, Finding):
        return None, [coolant]
    filled, hot = temperatures.filled, temperatures.hot
    try:
        densities = [coolant.at(one.value).density_kg_per_m3 for one in (filled, hot)]
    except CoolantError as error:
        missing = Missing(coolant.title, f"density at {error.temperature_c:g} degC", "conditions")
        return None, [Finding(PROPERTIES_MISSING, Judgement.GAP, coolant.title, (missing,))]
    expanded = expansion_ml(volume.high, densities[0], densities[1])
    air = _air(loop)
    space = sum(float(fact.value) for fact in air) if air is not None else None
    pressed = shut_in_pressure_bar(space, expanded, filled.value, hot.value) if space is not None else None
    expansion = Expansion(filled.value, hot.value, temperatures.hot_known, expanded, space, pressed)
    return expansion, [_expansion_finding(snapshot, loop, volume, expansion, (*(air or ()), filled.fact, hot.fact))]


def _expansion_finding(
    snapshot: Snapshot, loop: ResolvedLoop, volume: LoopVolume, expansion: Expansion, facts: tuple[Fact, ...]
) -> Finding:
    place = loop.question.name
    if expansion.expansion_space_ml is None:
        return Finding(EXPANSION_SPACE_MISSING, Judgement.GAP, place, (Missing(place, "expansion space", "air_ml"),))
    contents = Number("quantity/loop-contents", volume.high, _stated(volume))
    expanded = Number("quantity/coolant-expansion", expansion.expansion_ml, (contents, *facts))
    space = expansion_room_ml(expansion.expansion_space_ml, expansion.expansion_ml)
    number = Number("quantity/expansion-space", space, (expanded,))
    return judge_number(snapshot, number, (LOOP,), place, expanded)


def _stated(volume: LoopVolume) -> tuple[Fact, ...]:
    return tuple(one.fact for one in volume.contents if one.fact is not None)


def _air(loop: ResolvedLoop) -> tuple[Fact, ...] | None:
    """Return the air above the mark of every reservoir; `None` if there is none, or one of which nobody knows it."""
    reservoirs = [part for part in loop.parts.values() if part.asked.kind == "reservoir"]
    facts = [fact for part in reservoirs for fact in _air_of(part)]
    return tuple(facts) if reservoirs and len(facts) == len(reservoirs) else None


def _air_of(part: LoopPart) -> Iterator[Fact]:
    stated: float | None = getattr(part.asked, "air_ml", None)
    if stated is not None:
        yield Fact(part.name, "air_ml", stated, "", "")
    elif isinstance(part.row, Reservoir):
        yield Fact(part.row.id, "air_ml", part.row.air_ml, part.row.source_id, part.row.locator or "")


def _count(snapshot: Snapshot, loop: ResolvedLoop, quantity: str, places: tuple[Place, ...]) -> Finding:
    number = Number(f"quantity/{quantity}", count_of(places), ())
    return judge_number(snapshot, number, (LOOP,), loop.question.name)
