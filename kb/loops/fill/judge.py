"""Filling a loop: contents, what is poured in, room to grow, where to fill and drain, and what to do when.

Owns: bringing these together and holding them against limits. Does not own: any of them (one file a subject beside this
one), or telling (`kb/report/sections/fill.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal, NamedTuple

from kb.evidence.limits import judge_number
from kb.evidence.tree import Fact, Finding, Missing, Number
from kb.formulas.coolant.coolant import CoolantError
from kb.formulas.coolant.expansion import expansion_room_ml, growth_ml, shut_in_pressure_bar
from kb.formulas.fit.counts import count_of
from kb.loops.assumptions import Given, given_or_assumed
from kb.loops.coolant import PROPERTIES_MISSING, loop_coolant
from kb.loops.fill.glycol_dose import Dose, Mix, doses_for, mix_for
from kb.loops.fill.ports import Place, drain_points, fill_points, lowest_parts
from kb.loops.fill.pressure_test import AirTest, air_test
from kb.loops.fill.procedures import Task, change_fluid_months, steps_for, upkeep_for
from kb.loops.fill.subjects import LOOP, subjects_of
from kb.loops.fill.volumes import LoopVolume, loop_volume
from kb.loops.loop import LoopPart, ResolvedLoop
from kb.store.snapshot import Snapshot
from schemas.tables.assumptions import Assumption
from schemas.tables.procedures import Procedure
from schemas.tables.reservoirs import Reservoir
from schemas.verdict import Verdict

VOLUME_MISSING = "volume-missing"
ROOM_MISSING = "expansion-room-missing"
HotKnown = Literal["computed", "stated", "assumed"]


class Growth(NamedTuple):
    """How much the coolant grows.

    Attributes:
        from_c: temperature when filled [degC].
        to_c: hottest coolant [degC].
        to_known: how that is known.
        growth_ml: for the largest plausible contents [ml].
        room_ml: air above the mark in all reservoirs [ml]; `None` if nobody knows.
        sealed_bar: pressure of that air if it is shut in [bar]; `None` if none is left or nobody knows.
    """

    from_c: float
    to_c: float
    to_known: HotKnown
    growth_ml: float
    room_ml: float | None
    sealed_bar: float | None


class FillDuty(NamedTuple):
    """What was found about filling and keeping a loop.

    Attributes:
        findings: every reason.
        volume: what it holds.
        mix: what is poured in; `None` if no fluid is named.
        doses: of the additives the question names.
        reserve: coolant to have at hand beyond the contents.
        growth: `None` if the density is not known.
        test: of a test with air.
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
    growth: Growth | None
    test: AirTest | None
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


def judge_fill(snapshot: Snapshot, loop: ResolvedLoop, hottest_c: float | None = None) -> FillDuty:
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
        Finding(VOLUME_MISSING, Verdict.UNKNOWN, place, (Missing(place, "contents", "volume_ml"),))
        for place in volume.unknown
    ]
    growth, findings = _judge_growth(snapshot, loop, volume, mix, temperatures)
    fills, drains = fill_points(loop), drain_points(loop)
    findings += [
        *gaps,
        _count(snapshot, loop, "fill-points", fills),
        _count(snapshot, loop, "drain-points", drains),
    ]
    subjects = subjects_of(snapshot, loop)
    tasks = upkeep_for(snapshot, subjects)
    test = air_test(snapshot, loop, temperatures.filled.value)
    reserve = given_or_assumed(snapshot, loop, "quantity/fill-reserve")
    used = (temperatures.filled, temperatures.hot, reserve, test and test.share, mix and mix.share)
    return FillDuty(
        findings=tuple(findings),
        volume=volume,
        mix=mix,
        doses=doses_for(loop, volume.likely),
        reserve=reserve,
        growth=growth,
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


def _judge_growth(
    snapshot: Snapshot, loop: ResolvedLoop, volume: LoopVolume, mix: Mix | None, temperatures: _Temperatures
) -> tuple[Growth | None, list[Finding]]:
    """Return how much the coolant grows and whether there is room for it."""
    coolant = mix.coolant if mix is not None else loop_coolant(snapshot, loop)
    if isinstance(coolant, Finding):
        return None, [coolant]
    filled, hot = temperatures.filled, temperatures.hot
    try:
        densities = [coolant.at(one.value).density_kg_per_m3 for one in (filled, hot)]
    except CoolantError as error:
        missing = Missing(coolant.title, f"density at {error.temperature_c:g} degC", "conditions")
        return None, [Finding(PROPERTIES_MISSING, Verdict.UNKNOWN, coolant.title, (missing,))]
    grown = growth_ml(volume.high, densities[0], densities[1])
    air = _air(loop)
    room = sum(float(fact.value) for fact in air) if air is not None else None
    pressed = shut_in_pressure_bar(room, grown, filled.value, hot.value) if room is not None else None
    growth = Growth(filled.value, hot.value, temperatures.hot_known, grown, room, pressed)
    return growth, [_room_finding(snapshot, loop, volume, growth, (*(air or ()), filled.fact, hot.fact))]


def _room_finding(
    snapshot: Snapshot, loop: ResolvedLoop, volume: LoopVolume, growth: Growth, facts: tuple[Fact, ...]
) -> Finding:
    place = loop.question.name
    if growth.room_ml is None:
        return Finding(ROOM_MISSING, Verdict.UNKNOWN, place, (Missing(place, "air above the mark", "air_ml"),))
    contents = Number("quantity/loop-contents", volume.high, _stated(volume))
    grown = Number("quantity/coolant-growth", growth.growth_ml, (contents, *facts))
    room = expansion_room_ml(growth.room_ml, growth.growth_ml)
    number = Number("quantity/expansion-room", room, (grown,))
    return judge_number(snapshot, number, (LOOP,), place, grown)


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
