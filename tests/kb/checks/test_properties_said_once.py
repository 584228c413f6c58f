"""MAT-004: one source says a property of a material under one condition once."""

from __future__ import annotations

from typing import Any

from kb.checks import properties_said_once


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(properties_said_once) == []


def test_one_source_with_two_values(spoil: Any) -> None:
    spoil.add("material_properties", "property/abs-density", id="property/abs-density-too", value="1060")
    assert spoil.places() == [spoil.place("MAT-004", "material_properties", "property/abs-density-too", "value")]
