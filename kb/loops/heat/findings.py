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
from kb.formulas.heat.fan_laws import sound_at_speed
from kb.formulas.heat.probability import wish_probability_percent
from kb.formulas.heat.temperatures import warm_end_c
from kb.loops.assumptions import Given
from kb.loops.fan_faults import speed_findings
from kb.loops.heat.comparisons import Asked
from kb.loops.heat.radiators import RadiatorSetup
from kb.loops.heat.sources import HeatSource
from kb.loops.heat.state import SolvedHeat
from kb.loops.heat.uncertainty import HeatUncertainty
from kb.loops.heat.uncertainty_inputs import FAN_SPREAD
from kb.store.snapshot import Snapshot

LOOP = ("family/loop",)
_COMPUTED = "source/heat-definitions"


_PERCENT = 100


class Range(NamedTuple):
    """A range read as a distribution.

    Attributes:
        low: the quantity is below with a probability of 10 %.
        likely: below and above are equally probable.
        high: above with a probability of 10 %.
    """

    low: float
    likely: float
    high: float


class _Wish(NamedTuple):
    """What is judged of a target: by how much it is missed, or how probably it is reached."""

    beyond: str
    probability: str


_DELTA_T_WISH = _Wish("quantity/coolant-to-air-delta-t-over-target", "quantity/wish-probability")
_SOUND_WISH = _Wish("quantity/sound-over-target", "quantity/sound-wish-probability")


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
            fans = setup.fans
            yield from speed_findings(snapshot, setup.name, fans.row, fans.speed_rpm, fans.speed_max_rpm)


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
    worst = warmest(hottest, uncertainty)
    above = Number("quantity/coolant-above-stated", excess(hottest_c, given.value), (hottest, given.fact))
    yield judge_number(snapshot, over, LOOP, place)
    for number in (hottest, worst, above):
        yield judge_number(snapshot, number, LOOP, place)
    if target.is_stated:
        stated = Fact("target", "coolant_to_air_delta_t_k", target.delta_t_k, "", "")
        range_k = Range(uncertainty.low_k, uncertainty.likely_k, uncertainty.high_k)
        yield _wish_finding(snapshot, place, _DELTA_T_WISH, target.delta_t_k, range_k, (over, stated))


def warmest(hottest: Number, uncertainty: HeatUncertainty) -> Number:
    """Return the upper end of the coolant temperature: it gets warmer with a probability of a tenth.

    Args:
        hottest: the likely temperature of the warmest coolant.
        uncertainty: how sure it is.
    """
    value = warm_end_c(hottest.value, uncertainty.high_k, uncertainty.likely_k)
    return Number("quantity/coolant-temperature-high", value, (hottest,))


def _wish_finding(
    snapshot: Snapshot, place: str, wish: _Wish, target: float, range_: Range, inputs: tuple[Number | Fact, ...]
) -> Finding:
    """Return by how much the likely value misses a target; if it does not, how probable it is that it is reached."""
    beyond = excess(range_.likely, target)
    if beyond > 0:
        number = Number(wish.beyond, beyond, inputs)
    else:
        number = Number(wish.probability, wish_probability_percent(target, *range_), inputs)
    return judge_number(snapshot, number, LOOP, place)


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

    The range of the level is that of the speed of the fans, by the fan law of sound.

    Args:
        snapshot: the knowledge.
        place: the loop.
        sound_db: level of all fans.
        target: what the loop should reach.
    """
    spread = snapshot.assumption(FAN_SPREAD)
    if sound_db is not None and target.sound_db is not None and spread is not None:
        stated = Fact("target", "sound_level_db", target.sound_db, "", "")
        scatter = Fact(spread.id, "value", spread.value, spread.source_id, spread.locator or "")
        slow, fast = (sound_at_speed(sound_db, 1 + sign * spread.value / _PERCENT) for sign in (-1, 1))
        range_db = Range(slow, sound_db, fast)
        yield _wish_finding(snapshot, place, _SOUND_WISH, target.sound_db, range_db, (stated, scatter))
