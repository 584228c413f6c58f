"""FAN-001: the curve of every fan falls from no flow to no pressure."""

from __future__ import annotations

from typing import Any

from kb.checks import fan_curves

FAN = "fan/balanced-120"
FIRST, SECOND, LAST = (f"fan-point/balanced-120-{number}" for number in (1, 2, 8))


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(fan_curves) == []


def test_a_pressure_that_rises_with_the_flow(spoil: Any) -> None:
    spoil.set("fan_points", SECOND, pressure_pa="18")
    assert spoil.places() == [spoil.place("FAN-001", "fans", FAN, "id")]


def test_two_points_with_one_flow(spoil: Any) -> None:
    spoil.set("fan_points", SECOND, flow_m3_per_h="0")
    assert spoil.places() == [spoil.place("FAN-001", "fans", FAN, "id")]


def test_a_curve_without_its_pressure_at_no_flow(spoil: Any) -> None:
    spoil.withdraw("fan_points", FIRST)
    assert spoil.places() == [spoil.place("FAN-001", "fans", FAN, "id")]


def test_a_curve_that_ends_before_free_air(spoil: Any) -> None:
    spoil.withdraw("fan_points", LAST)
    assert spoil.places() == [spoil.place("FAN-001", "fans", FAN, "id")]


def test_a_fan_without_points(spoil: Any) -> None:
    spoil.add("fans", FAN, id="fan/without-points", title="fan without points")
    assert spoil.places() == [spoil.place("FAN-001", "fans", "fan/without-points", "id")]
