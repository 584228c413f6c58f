"""UNI-002: no value lies below what its unit allows, such as absolute zero."""

from __future__ import annotations

from typing import Any

from kb.checks import values_within_reach


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(values_within_reach) == []


def test_a_temperature_below_absolute_zero(spoil: Any) -> None:
    spoil.set("assumptions", "assumption/coolant-temperature", value="-300")
    assert spoil.places() == [spoil.place("UNI-002", "assumptions", "assumption/coolant-temperature", "value")]


def test_a_negative_concentration(spoil: Any) -> None:
    spoil.set("fluid_properties", "fluid-property/family-oil-chloride", value="-1")
    assert spoil.places() == [spoil.place("UNI-002", "fluid_properties", "fluid-property/family-oil-chloride", "value")]
