"""SRC-005: a source that no row names says so in its note, and no other source does."""

from __future__ import annotations

from typing import Any

from kb.checks import sources_are_named


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(sources_are_named) == []


def test_a_source_that_no_row_names(spoil: Any) -> None:
    spoil.set("sources", "source/iso-261", note="")
    assert spoil.places() == [spoil.place("SRC-005", "sources", "source/iso-261", "id")]


def test_a_named_source_that_says_no_row_names_it(spoil: Any) -> None:
    spoil.set("sources", "source/iso-228-1", note="no row names it")
    assert spoil.places() == [spoil.place("SRC-005", "sources", "source/iso-228-1", "note")]
