"""ALI-002: words that mean a part for sure mean one part only."""

from __future__ import annotations

from typing import Any

from kb.checks import alias_means_one


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(alias_means_one) == []


def test_one_word_that_surely_means_two_parts(spoil: Any) -> None:
    spoil.set("aliases", "alias/10-13-as-soft-3-8x1-2", relation="same")
    assert spoil.places() == [spoil.place("ALI-002", "aliases", "alias/10-13-as-soft-3-8x1-2", "relation")]


def test_the_same_sure_meaning_twice_is_a_repeat_only(spoil: Any) -> None:
    spoil.add("aliases", "alias/hose-barb", id="alias/hose-barb-again")
    assert [code for code, *_ in spoil.places()] == ["ALI-003"]
