"""Targets are reached, likely reached or missed, never an error; physical limits hold at the upper end of a range."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from structure_asking import answer, codes, errors, loop

from kb.formulas.heat.probability import wish_probability_percent
from kb.knowledge_base import KnowledgeBase

MISSED, LIKELY = "coolant-to-air-delta-t-over-target", "wish-probability"
WIDEST_K = 60.0  # widest target that may be asked for
USUAL_SERVICE_C, NEAR_BOILING_C = 60.0, 90.0  # rows of limits.csv, the latter from assumption/boiling-point


def heated(target: dict[str, float], heat_w: float = 250) -> dict[str, Any]:
    """A loop with a target, its flow and heat alone judged."""
    asked = loop(cpu={"heat_w": heat_w}, rad={"is": "radiator/240x30-medium"})
    return asked | {"target": target, "sections": ["flow", "heat"], "air_c": 25}


def told(base: KnowledgeBase, asked: dict[str, Any]) -> set[str]:
    """What is warned of the target."""
    return codes(base, asked, "conditional") & {MISSED, LIKELY}


@settings(max_examples=20, deadline=None)
@given(st.floats(60, 400), st.floats(0.02, 0.98))
def test_a_target_is_missed_likely_or_reached_as_the_range_says(base: KnowledgeBase, heat_w: float, at: float) -> None:
    found = answer(base, heated({}, heat_w)).heat
    assert found is not None
    assert found.coolant_to_air_delta_t_k is not None
    range_k = found.coolant_to_air_delta_t_k
    low, likely, high = range_k.low, range_k.likely, range_k.high
    for target, warned in (
        (low + at * (likely - low), {MISSED}),
        (likely + at * (high - likely), {LIKELY}),
        (min(high * (1 + at), WIDEST_K), set()),
    ):
        asked = heated({"coolant_to_air_delta_t_k": target}, heat_w)
        assert told(base, asked) == warned
        assert not errors(base, asked) & {(code, "the loop") for code in (MISSED, LIKELY)}


@pytest.mark.parametrize("target", [0.5, 5, 9])
def test_a_missed_target_is_a_warning_with_the_figure(base: KnowledgeBase, target: float) -> None:
    found = answer(base, heated({"coolant_to_air_delta_t_k": target}))
    finding = next(one for one in found.findings if one.code == MISSED)
    assert finding.verdict.value == "conditional"
    assert found.heat is not None
    assert found.heat.coolant_to_air_delta_t_k is not None
    missed_k = f"{found.heat.coolant_to_air_delta_t_k.likely - target:.1f}".removesuffix(".0")
    assert f": {missed_k} K;" in finding.sentence


def test_a_loop_louder_than_its_target_is_a_warning(base: KnowledgeBase) -> None:
    asked = heated({"sound_level_db": 3}, 100)
    assert errors(base, asked) == set()
    assert "sound-over-target" in codes(base, asked, "conditional")


@settings(max_examples=50)
@given(st.floats(0.1, 50), st.floats(0.01, 10), st.floats(0.01, 20), st.floats(-30, 30))
def test_ends_of_a_range_are_its_deciles(likely: float, below: float, above: float, more: float) -> None:
    low, high = likely - below, likely + above
    assert wish_probability_percent(high, low, likely, high) == pytest.approx(90)
    assert wish_probability_percent(low, low, likely, high) == pytest.approx(10)
    assert wish_probability_percent(likely, low, likely, high) == pytest.approx(50)
    one, other = (wish_probability_percent(target, low, likely, high) for target in (likely, likely + more))
    assert one <= other if more >= 0 else one >= other


@settings(max_examples=12, deadline=None)
@given(st.floats(100, 2500))
def test_coolant_too_hot_at_the_upper_end_of_its_range_is_an_error(base: KnowledgeBase, heat_w: float) -> None:
    asked = heated({}, heat_w)
    found = answer(base, asked).heat
    assert found is not None
    assert found.coolant_to_air_delta_t_k is not None
    assert found.coolant_hottest_c is not None
    range_k = found.coolant_to_air_delta_t_k
    warmest_c = found.coolant_hottest_c + range_k.high - range_k.likely
    hot = {code for code, _ in errors(base, asked)}
    assert ("coolant-temperature-high" in hot) == (warmest_c > USUAL_SERVICE_C)
    assert ("boiling-margin" in hot) == (warmest_c > NEAR_BOILING_C)


@settings(max_examples=10, deadline=None)
@given(st.floats(400, 1500), st.floats(0.02, 0.98))
def test_a_sound_target_is_missed_likely_or_reached_as_the_speed_of_fans_scatters(
    base: KnowledgeBase, speed_rpm: float, at: float
) -> None:
    """The range is that of assumption/fan-speed-spread, by the fan law of sound: 50 log10 of the speed ratio."""
    fans = {"is": "fan/balanced-120", "speed_rpm": speed_rpm}
    asked = loop(cpu={"heat_w": 50}, rad={"fans": fans}) | {"sections": ["heat"], "air_c": 25}
    found = answer(base, asked).heat
    assert found is not None
    assert found.sound_level_db is not None
    level, louder_db = found.sound_level_db, 50 * math.log10(1.1)
    assume(level > at)  # a target is no level below nothing
    for target, warned in (
        (level - at, {"sound-over-target"}),
        (level + at * louder_db, {"sound-wish-probability"}),
        (level + louder_db * (1 + at), set()),
    ):
        wished = asked | {"target": {"sound_level_db": target}}
        assert codes(base, wished, "conditional") & {"sound-over-target", "sound-wish-probability"} == warned
        assert errors(base, wished) == set()
