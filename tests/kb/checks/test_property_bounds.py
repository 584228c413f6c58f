"""MAT-002: no property of a material lies outside what any material has."""

from __future__ import annotations

from typing import Any

from kb.checks import property_bounds


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(property_bounds) == []


def test_a_density_of_grams_beyond_osmium(spoil: Any) -> None:
    spoil.set("material_properties", "property/abs-density", value="1040000")
    assert spoil.places() == [spoil.place("MAT-002", "material_properties", "property/abs-density", "value")]


def test_a_potential_in_millivolts(spoil: Any) -> None:
    spoil.set("material_properties", "property/aluminium-1050-seawater-potential", value="-360", value_high="")
    assert spoil.places() == [
        spoil.place("MAT-002", "material_properties", "property/aluminium-1050-seawater-potential", "value")
    ]


def test_a_temperature_below_absolute_zero(spoil: Any) -> None:
    spoil.set("material_properties", "property/abs-softening-temperature", value="-300", value_high="")
    assert spoil.places() == [
        spoil.place("MAT-002", "material_properties", "property/abs-softening-temperature", "value")
    ]
