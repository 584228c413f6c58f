"""ALI-001: the words of an alias are in the plain form in which questions are read."""

from __future__ import annotations

from typing import Any

from kb.checks import alias_words_plain


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(alias_words_plain) == []


def test_words_in_capitals(spoil: Any) -> None:
    spoil.set("aliases", "alias/bspp", words="BSPP")
    assert spoil.places() == [spoil.place("ALI-001", "aliases", "alias/bspp", "words")]


def test_a_typographic_fraction(spoil: Any) -> None:
    spoil.set("aliases", "alias/3-8-thick-wall", words="⅜ thick wall")
    assert spoil.places() == [spoil.place("ALI-001", "aliases", "alias/3-8-thick-wall", "words")]


def test_two_blanks_in_a_row(spoil: Any) -> None:
    spoil.set("aliases", "alias/hose-barb", words="hose  barb")
    assert spoil.places() == [spoil.place("ALI-001", "aliases", "alias/hose-barb", "words")]
