"""SRC-002: habit and memory are named as such: basis and kind of source say the same."""

from __future__ import annotations

from typing import Any

from kb.checks import basis_fits_source


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(basis_fits_source) == []


def test_a_habit_that_names_a_standard(spoil: Any) -> None:
    spoil.set("aliases", "alias/10-13", source_id="source/iso-228-1")
    assert spoil.places() == [spoil.place("SRC-002", "aliases", "alias/10-13", "basis")]


def test_a_published_row_that_names_a_habit(spoil: Any) -> None:
    spoil.set("threads", "thread/g-1-4", source_id="source/trade-usage")
    assert spoil.place("SRC-002", "threads", "thread/g-1-4", "basis") in spoil.places()


def test_a_remembered_row_that_names_a_standard(spoil: Any) -> None:
    spoil.set("tubes", "tube/soft-10x13", source_id="source/en-1057")
    assert spoil.places() == [spoil.place("SRC-002", "tubes", "tube/soft-10x13", "basis")]


def test_a_computed_row_that_names_memory(spoil: Any) -> None:
    spoil.set("limits", "limit/barb-stretch-none-barb", source_id="source/from-memory")
    assert spoil.places() == [spoil.place("SRC-002", "limits", "limit/barb-stretch-none-barb", "basis")]
