"""REN-002: the row about a renamed id is called after the old one; an old id stands once."""

from __future__ import annotations

from typing import Any

from kb.checks import renamed_ids_named_after

ROW = "renamed/pump-middle-steep-12-v"


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(renamed_ids_named_after) == []


def test_a_row_with_another_name(spoil: Any) -> None:
    spoil.add("renamed_ids", ROW, id="renamed/pump-of-old", old_id="pump/old-one")
    assert spoil.places() == [spoil.place("REN-002", "renamed_ids", "renamed/pump-of-old", "id")]


def test_an_old_id_that_stands_twice(spoil: Any) -> None:
    spoil.add("renamed_ids", ROW, id="renamed/pump-middle-steep-12-v-again")
    assert {code for code, *_ in spoil.places()} == {"SCH-001"}
