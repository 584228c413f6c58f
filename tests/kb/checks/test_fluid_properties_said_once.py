"""FLP-001: one fluid or family has one usual value of a quantity."""

from __future__ import annotations

from typing import Any

from kb.checks import fluid_properties_said_once


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(fluid_properties_said_once) == []


def test_a_usual_value_said_twice(spoil: Any) -> None:
    spoil.add(
        "fluid_properties", "fluid-property/family-alkali-ph", id="fluid-property/family-alkali-ph-too", value="13"
    )
    assert spoil.places() == [
        spoil.place("FLP-001", "fluid_properties", "fluid-property/family-alkali-ph-too", "quantity_id")
    ]
