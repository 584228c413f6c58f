"""FAC-001: no two active rows of a table say the same on the same source."""

from __future__ import annotations

from typing import Any

from kb.checks import facts_said_once


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(facts_said_once) == []


def test_a_row_entered_again_under_another_id(spoil: Any) -> None:
    spoil.add("tubes", "tube/soft-10x13", id="tube/soft-10x13-too")
    assert spoil.places() == [spoil.place("FAC-001", "tubes", "tube/soft-10x13-too", "id")]


def test_a_withdrawn_row_repeats_nothing(spoil: Any) -> None:
    spoil.add("tubes", "tube/soft-10x13", id="tube/soft-10x13-too")
    spoil.withdraw("tubes", "tube/soft-10x13-too")
    assert spoil.places() == []
