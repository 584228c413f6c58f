"""REN-001: an id that was renamed is that of no row any more, and its new one is that of a row."""

from __future__ import annotations

from typing import Any

from kb.checks import renamed_ids_lead_on

ROW = "renamed/pump-middle-steep-12-v"


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(renamed_ids_lead_on) == []


def test_an_old_id_that_a_row_has(spoil: Any) -> None:
    spoil.set("renamed_ids", ROW, old_id="tube/soft-10x16")
    assert spoil.place("REN-001", "renamed_ids", ROW, "old_id") in spoil.places()


def test_a_new_id_that_no_row_has(spoil: Any) -> None:
    spoil.set("renamed_ids", ROW, new_id="pump/of-nobody")
    assert spoil.places() == [spoil.place("REN-001", "renamed_ids", ROW, "new_id")]


def test_a_new_id_that_was_renamed_itself(spoil: Any) -> None:
    spoil.set("renamed_ids", ROW, new_id="pump/strong-steep-12-v")
    assert spoil.places() == [spoil.place("REN-001", "renamed_ids", ROW, "new_id")]
