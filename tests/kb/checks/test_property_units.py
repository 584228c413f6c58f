"""MAT-001: a property of a material is always given in one unit."""

from __future__ import annotations

from typing import Any

from kb.checks import property_units


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(property_units) == []


def test_a_density_in_percent(spoil: Any) -> None:
    spoil.set("material_properties", "property/abs-density", unit="%")
    assert spoil.places() == [spoil.place("MAT-001", "material_properties", "property/abs-density", "unit")]
