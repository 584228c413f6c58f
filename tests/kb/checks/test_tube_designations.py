"""TUB-003: every figure in the name of a tube is one of its dimensions."""

from __future__ import annotations

from typing import Any

from kb.checks import tube_designations


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(tube_designations) == []


def test_a_figure_that_is_no_dimension(spoil: Any) -> None:
    spoil.set("tubes", "tube/soft-10x13", designation="10 x 16 mm")
    assert spoil.places() == [spoil.place("TUB-003", "tubes", "tube/soft-10x13", "designation")]


def test_an_inch_figure_that_is_no_dimension(spoil: Any) -> None:
    spoil.set("tubes", "tube/soft-3-8x5-8", designation="3/8 x 1/2 in")
    assert spoil.places() == [spoil.place("TUB-003", "tubes", "tube/soft-3-8x5-8", "designation")]
