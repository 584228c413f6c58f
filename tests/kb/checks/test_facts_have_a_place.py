"""SRC-001: what was published, measured or computed names its place in the source."""

from __future__ import annotations

from typing import Any

from kb.checks import facts_have_a_place


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(facts_have_a_place) == []


def test_a_published_row_without_locator(spoil: Any) -> None:
    spoil.set("threads", "thread/g-1-4", locator="")
    assert spoil.places() == [spoil.place("SRC-001", "threads", "thread/g-1-4", "locator")]


def test_a_computed_row_without_locator(spoil: Any) -> None:
    spoil.set("limits", "limit/barb-stretch-none-barb", locator="")
    assert spoil.places() == [spoil.place("SRC-001", "limits", "limit/barb-stretch-none-barb", "locator")]


def test_a_habit_needs_no_locator(spoil: Any) -> None:
    spoil.set("aliases", "alias/10-13", locator="")
    assert spoil.places() == []
