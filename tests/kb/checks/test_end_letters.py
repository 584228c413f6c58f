"""END-002: the ends of a fitting carry the letters from a on, each once."""

from __future__ import annotations

from typing import Any

from kb.checks import end_letters


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(end_letters) == []


def test_a_letter_left_out(spoil: Any) -> None:
    spoil.set("fitting_ends", "end/rigid-12-g-1-4-b", position="c")
    assert spoil.places() == [spoil.place("END-002", "fitting_ends", "end/rigid-12-g-1-4-b", "position")]


def test_a_letter_that_stands_twice(spoil: Any) -> None:
    spoil.set("fitting_ends", "end/rigid-12-g-1-4-b", position="a")
    assert spoil.places() == [spoil.place("END-002", "fitting_ends", "end/rigid-12-g-1-4-b", "position")]


def test_a_fitting_without_ends(spoil: Any) -> None:
    spoil.drop("fitting_ends", "end/rigid-12-g-1-4-a")
    spoil.drop("fitting_ends", "end/rigid-12-g-1-4-b")
    assert spoil.places() == [spoil.place("END-002", "fittings", "fitting/rigid-12-g-1-4", "id")]
