"""SRC-004: a published or measured value was seen in some carrier of its source."""

from __future__ import annotations

from typing import Any

from kb.checks import published_was_seen


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(published_was_seen) == []


def test_a_published_value_of_a_standard_nobody_saw(spoil: Any) -> None:
    spoil.set("ports", "port/g-1-4-din-3852-2", source_id="source/iso-1179-1")
    spoil.set("sources", "source/iso-1179-1", note="the standard itself was not opened")
    assert spoil.place("SRC-004", "ports", "port/g-1-4-din-3852-2", "source_id") in spoil.places()


def test_a_habit_has_nothing_to_be_seen_in(spoil: Any) -> None:
    spoil.set("sources", "source/trade-usage", how_seen="not-seen")
    assert spoil.places() == []
