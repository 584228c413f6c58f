"""WET-002: every kind of part that holds coolant says what it is made of."""

from __future__ import annotations

from typing import Any

from kb.checks import wetted_known


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(wetted_known) == []


def test_a_reservoir_nobody_knows_the_material_of(spoil: Any) -> None:
    spoil.withdraw("wetted_materials", "wetted/reservoir-body")
    spoil.withdraw("wetted_materials", "wetted/reservoir-seal")
    assert {place[:2] for place in spoil.places()} == {("WET-002", "reservoirs")}
