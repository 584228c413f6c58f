"""SRC-003: what is only remembered is of low confidence."""

from __future__ import annotations

from typing import Any

from kb.checks import memory_is_weak


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(memory_is_weak) == []


def test_a_remembered_row_of_medium_confidence(spoil: Any) -> None:
    spoil.set("tubes", "tube/soft-10x13", confidence="medium")
    assert spoil.places() == [spoil.place("SRC-003", "tubes", "tube/soft-10x13", "confidence")]


def test_a_remembered_row_of_high_confidence(spoil: Any) -> None:
    spoil.set("tubes", "tube/soft-10x13", confidence="high")
    assert spoil.places() == [spoil.place("SRC-003", "tubes", "tube/soft-10x13", "confidence")]


def test_a_habit_may_be_of_high_confidence(spoil: Any) -> None:
    spoil.set("aliases", "alias/10-13", confidence="high")
    assert spoil.places() == []
