"""TUB-002: the dimension a tube is named after is given."""

from __future__ import annotations

from typing import Any

from kb.checks import tube_names


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(tube_names) == []


def test_a_tube_named_after_both_without_inside(spoil: Any) -> None:
    spoil.set("tubes", "tube/soft-10x13", id_mm="")
    assert spoil.places() == [spoil.place("TUB-002", "tubes", "tube/soft-10x13", "id_mm")]


def test_a_tube_named_after_its_outside_without_it(spoil: Any) -> None:
    spoil.set("tubes", "tube/stainless-10x1", od_mm="")
    assert spoil.places() == [spoil.place("TUB-002", "tubes", "tube/stainless-10x1", "od_mm")]


def test_a_tube_named_after_its_inside_without_it(spoil: Any) -> None:
    spoil.set("tubes", "tube/stainless-10x1", nominal_means="inside")
    assert spoil.places() == [spoil.place("TUB-002", "tubes", "tube/stainless-10x1", "id_mm")]


def test_a_name_that_means_neither_needs_nothing(spoil: Any) -> None:
    spoil.set("tubes", "tube/copper-en-1057-10", nominal_means="neither", od_mm="")
    assert spoil.places() == []
