"""WET-001: one surface of a part is of one material."""

from __future__ import annotations

from typing import Any

from kb.checks import wetted_said_once


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(wetted_said_once) == []


def test_a_surface_of_two_materials(spoil: Any) -> None:
    spoil.add("wetted_materials", "wetted/block-top", id="wetted/block-top-too", material_id="plastic/pmma")
    assert spoil.places() == [spoil.place("WET-001", "wetted_materials", "wetted/block-top-too", "role")]
