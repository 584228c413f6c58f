"""The heat of a loop held against the limits.

Owns: which numbers of air and heat are judged, and what they cite. Does not own: the limits (rows of limits.csv) or
the numbers.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from kb.evidence.limits import judge_number
from kb.evidence.tree import Fact, Finding, Number
from kb.formulas.fit.counts import excess
from kb.formulas.heat.fan_laws import speed_share_percent
from kb.formulas.heat.temperatures import warm_end_c
from kb.loops.assumptions import Given
from kb.loops.heat.comparisons import Asked
from kb.loops.heat.radiators import FanSetup, RadiatorSetup
from kb.loops.heat.sources import HeatSource
from kb.loops.heat.state import SolvedHeat
from kb.loops.heat.uncertainty import HeatUncertainty
from kb.store.snapshot import Snapshot

LOOP = ("family/loop",)
_COMPUTED = "source/heat-definitions"


class Target(NamedTuple):
    """What the loop should reach.

    Attributes:
        delta_t_k: coolant-to-air temperature difference, stated or assumed.
        is_stated: whether the question states it.
        sound_db: level of all fans together; `None` if there is no target.
    """

    delta_t_k: float
    is_stated: bool
    sound_db: float | None


def uncooled_findings(snapshot: Snapshot, solved: SolvedHeat, sources: Iterable[HeatSource]) -> Iterator[Finding]:
    """Yield a finding for every cooled part whose heat goes nowhere.

    Args:
        snapshot: the knowledge.
        solved: the temperatures.
        sources: the cooled parts.
    """
    state = solved.state
    for source in sources:
        for names, quantity in ((state.stranded, "heat-without-flow"), (state.unrejected, "heat-without-radiator")):
            if source.name in names:
                heat = Fact(source.name, "heat_w", source.heat_w, "", "")
                number = Number(f"quantity/{quantity}", source.heat_w, (heat,))
                yield judge_number(snapshot, number, source.families, source.name)


def fan_findings(snapshot: Snapshot, setups: Iterable[RadiatorSetup]) -> Iterator[Finding]:
    """Yield whether the fans of each radiator turn as fast as is said.

    Args:
        snapshot: the knowledge.
        setups: the radiators.
    """
    for setup in setups:
        if setup.fans is not None and setup.fans.running:
            yield from _speed_findings(snapshot, setup.name, setup.fans)


def _speed_findings(snapshot: Snapshot, name: str, fans: FanSetup) -> Iterator[Finding]:
    families = (fans.row.id, *snapshot.families(fans.row.family_id))
    speed = Fact(name, "speed_rpm", fans.speed_rpm, "", "")
    row = fans.row
    stated = fans.speed_max_rpm != row.speed_max_rpm
    source = ("", "") if stated else (row.source_id, row.locator or "")
    most = Fact(name if stated else row.id, "speed_max_rpm", fans.speed_max_rpm, *source)
    least = Fact(row.id, "speed_min_rpm", row.speed_min_rpm, row.source_id, row.locator or "")
    for quantity, against in (("fan-speed-share", most), ("fan-speed-floor", least)):
        value = speed_share_percent(fans.speed_rpm, float(against.value))
        number = Number(f"quantity/{quantity}", value, (speed, against))
        yield judge_number(snapshot, number, families, name)


def temperature_findings(
    snapshot: Snapshot, place: str, asked: Asked, uncertainty: HeatUncertainty, target: Target, given: Given
) -> Iterator[Finding]:
    """Yield what the temperatures of the coolant mean.

    Args:
        snapshot: the knowledge.
        place: the loop.
        asked: the loop as asked, solved.
        uncertainty: how sure it is.
        target: what it should reach.
        given: the coolant temperature that materials were judged at.
    """
    cooled = {source.name for source in asked.sources}
    inputs = tuple(
        Fact(name, "heat_w", heat, *(("", "") if name in cooled else (_COMPUTED, "heat of a pump")))
        for name, heat in asked.case.heats_w.items()
    )
    over = Number("quantity/coolant-to-air-delta-t", asked.delta_t_k, inputs)
    hottest_c = asked.solved.hottest_c
    assert hottest_c is not None
    hottest = Number("quantity/coolant-temperature", hottest_c, inputs)
    worst_c = warm_end_c(hottest_c, uncertainty.high_k, uncertainty.likely_k)
    worst = Number("quantity/coolant-temperature-high", worst_c, (hottest,))
    above = Number("quantity/coolant-above-stated", excess(hottest_c, given.value), (hottest, given.fact))
    yield judge_number(snapshot, over, LOOP, place)
    for number in (hottest, worst, above):
        yield judge_number(snapshot, number, LOOP, place)
    if target.is_stated:
        stated = Fact("target", "coolant_to_air_delta_t_k", target.delta_t_k, "", "")
        beyond = Number(
            "quantity/coolant-to-air-delta-t-over-target", excess(asked.delta_t_k, target.delta_t_k), (over, stated)
        )
        yield judge_number(snapshot, beyond, LOOP, place)


def surface_findings(
    snapshot: Snapshot, sources: Iterable[HeatSource], surfaces_c: dict[str, float]
) -> Iterator[Finding]:
    """Yield how hot the surface of each cooled part gets at its likely thermal resistance.

    Args:
        snapshot: the knowledge.
        sources: the cooled parts.
        surfaces_c: part -> temperature [degC]; parts whose block nobody knows are left out.
    """
    for source in sources:
        if source.name in surfaces_c and source.resistance is not None:
            inputs = (
                Fact(source.name, "heat_w", source.heat_w, "", ""),
                Fact(
                    source.resistance.known_by,
                    "thermal_resistance_k_per_w",
                    source.resistance.likely_k_per_w,
                    _COMPUTED,
                    "from the flow that it is given at to that of the loop",
                ),
            )
            number = Number("quantity/surface-temperature", surfaces_c[source.name], inputs)
            yield judge_number(snapshot, number, source.families, source.name)


def sound_findings(snapshot: Snapshot, place: str, sound_db: float | None, target: Target) -> Iterator[Finding]:
    """Yield whether all fans together are as quiet as their target; nothing if there is none or no fan runs.

    Args:
        snapshot: the knowledge.
        place: the loop.
        sound_db: level of all fans.
        target: what the loop should reach.
    """
    if sound_db is not None and target.sound_db is not None:
        stated = Fact("target", "sound_level_db", target.sound_db, "", "")
        number = Number("quantity/sound-over-target", excess(sound_db, target.sound_db), (stated,))
        yield judge_number(snapshot, number, LOOP, place)
