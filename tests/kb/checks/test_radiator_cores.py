"""RAD-001: the core of every radiator fits into it and holds no more than the whole."""

from __future__ import annotations

from typing import Any

import pytest

from kb.checks import radiator_cores

RADIATOR = "radiator/240x30-low"


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(radiator_cores) == []


@pytest.mark.parametrize(
    ("column", "cells"),
    [
        ("core_length_mm", {"core_length_mm": "300", "volume_ml": "500"}),
        ("core_depth_mm", {"core_depth_mm": "31"}),
        ("tubes", {"tubes": "13", "volume_ml": "500"}),
        ("tube_rows", {"tube_rows": "2", "volume_ml": "500"}),
        ("louver_length_mm", {"louver_length_mm": "7.4"}),
        ("volume_ml", {"volume_ml": "80"}),
        ("fans", {"fans": "3"}),
    ],
)
def test_a_core_that_cannot_be(spoil: Any, column: str, cells: dict[str, str]) -> None:
    spoil.set("radiators", RADIATOR, **cells)
    assert spoil.places() == [spoil.place("RAD-001", "radiators", RADIATOR, column)]


def test_a_tube_that_is_all_wall(spoil: Any) -> None:
    spoil.set("radiators", RADIATOR, tube_wall_mm="1.1")
    assert spoil.place("RAD-001", "radiators", RADIATOR, "tube_wall_mm") in spoil.places()
