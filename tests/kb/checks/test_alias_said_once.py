"""ALI-003: the same words are tied to the same part once."""

from __future__ import annotations

from typing import Any

from kb.checks import alias_said_once


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(alias_said_once) == []


def test_words_tied_to_a_part_by_two_rows(spoil: Any) -> None:
    spoil.add("aliases", "alias/10-13", id="alias/10-13-too", relation="also-sold-as")
    assert spoil.places() == [spoil.place("ALI-003", "aliases", "alias/10-13-too", "part_id")]
