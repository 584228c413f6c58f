"""SRC-007: a source of published facts has publisher, year and address, or the record of a search for it."""

from __future__ import annotations

from typing import Any

import pytest

from kb.checks import sources_have_addresses

SOURCE = "source/iso-228-1"


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(sources_have_addresses) == []


@pytest.mark.parametrize("column", ["publisher", "year", "address_seen_in"])
def test_a_cell_that_a_reader_needs_is_empty(spoil: Any, column: str) -> None:
    spoil.set("sources", SOURCE, **{column: ""})
    assert spoil.places() == [spoil.place("SRC-007", "sources", SOURCE, column)]


def test_a_record_of_the_search_stands_for_an_address(spoil: Any) -> None:
    spoil.set("sources", SOURCE, address_kind="", address="", address_seen_in="", searched="2026-12-01, editor: gone")
    assert "SRC-007" not in [fault[0] for fault in spoil.places()]


def test_an_address_of_which_nothing_says_where_it_stood_is_not_excused_by_a_search(spoil: Any) -> None:
    spoil.set("sources", SOURCE, address_seen_in="", searched="2026-12-01, editor: gone")
    assert spoil.places() == [spoil.place("SRC-007", "sources", SOURCE, "address_seen_in")]
