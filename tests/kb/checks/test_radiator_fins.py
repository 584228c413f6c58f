"""RAD-002: the fins of a radiator leave room for air, its holes lie inside the fan."""

from __future__ import annotations

from typing import Any

from kb.checks import radiator_fins


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(radiator_fins) == []


def test_fins_that_touch(spoil: Any) -> None:
    spoil.set("radiators", "radiator/120x30-high", fins_per_inch="30", fin_thickness_mm="0.9")
    assert spoil.places() == [spoil.place("RAD-002", "radiators", "radiator/120x30-high", "fins_per_inch")]


def test_holes_outside_the_fan(spoil: Any) -> None:
    spoil.set("radiators", "radiator/120x30-high", fan_hole_spacing_mm="120")
    assert spoil.places() == [spoil.place("RAD-002", "radiators", "radiator/120x30-high", "fan_hole_spacing_mm")]
