"""ORD-001: the rows of every table are sorted by id."""

from __future__ import annotations

from typing import Any

from kb.checks import rows_sorted


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(rows_sorted) == []


def test_two_rows_in_exchanged_order(spoil: Any) -> None:
    spoil.swap("tubes", "tube/soft-10x13")
    assert spoil.places() == [spoil.place("ORD-001", "tubes", "tube/soft-10x13", "id")]


def test_the_fix_names_the_row_to_stand_above(spoil: Any) -> None:
    spoil.swap("tubes", "tube/soft-10x13")
    (fault,) = spoil.faults()
    assert fault.fix == "move the line up, above tube/soft-10x14"
