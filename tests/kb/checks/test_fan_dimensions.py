"""FAN-002: the dimensions and speeds of a fan lie inside one another."""

from __future__ import annotations

from typing import Any

from kb.checks import fan_dimensions


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(fan_dimensions) == []


def test_a_hub_wider_than_the_blades(spoil: Any) -> None:
    spoil.set("fans", "fan/balanced-120", hub_diameter_mm="114")
    assert spoil.places() == [spoil.place("FAN-002", "fans", "fan/balanced-120", "hub_diameter_mm")]


def test_speeds_exchanged(spoil: Any) -> None:
    spoil.set("fans", "fan/balanced-120", speed_min_rpm="1600")
    assert spoil.places() == [spoil.place("FAN-002", "fans", "fan/balanced-120", "speed_min_rpm")]
