"""MAT-003: the upper value of a property lies above its value."""

from __future__ import annotations

from typing import Any

from kb.checks import property_ranges


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(property_ranges) == []


def test_a_range_turned_round(spoil: Any) -> None:
    spoil.set("material_properties", "property/pp-service-temperature-max", value="130", value_high="80")
    assert spoil.places() == [
        spoil.place("MAT-003", "material_properties", "property/pp-service-temperature-max", "value_high")
    ]
