"""TUB-001: a tube is wider outside than inside, by twice its wall."""

from __future__ import annotations

from typing import Any

from kb.checks import tube_walls


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(tube_walls) == []


def test_an_inside_larger_than_the_outside(spoil: Any) -> None:
    spoil.set("tubes", "tube/soft-10x13", id_mm="13", od_mm="10")
    assert spoil.places() == [spoil.place("TUB-001", "tubes", "tube/soft-10x13", "od_mm")]


def test_an_inside_equal_to_the_outside(spoil: Any) -> None:
    spoil.set("tubes", "tube/soft-10x13", id_mm="13")
    assert spoil.places() == [spoil.place("TUB-001", "tubes", "tube/soft-10x13", "od_mm")]


def test_walls_that_leave_no_bore(spoil: Any) -> None:
    spoil.set("tubes", "tube/stainless-10x1", wall_mm="5")
    assert spoil.places() == [spoil.place("TUB-001", "tubes", "tube/stainless-10x1", "wall_mm")]


def test_three_dimensions_that_disagree(spoil: Any) -> None:
    spoil.set("tubes", "tube/soft-10x13", wall_mm="2")
    assert spoil.places() == [spoil.place("TUB-001", "tubes", "tube/soft-10x13", "id_mm")]


def test_three_dimensions_that_differ_by_their_rounding(spoil: Any) -> None:
    spoil.set("tubes", "tube/soft-10x13", wall_mm="1.52")
    assert spoil.places() == []


def test_a_withdrawn_tube_may_be_wrong(spoil: Any) -> None:
    spoil.add(
        "tubes",
        "tube/soft-10x13",
        id="tube/soft-wrong",
        od_mm="9",
        withdrawn_on="2026-11-26",
        withdrawn_reason="misprint",
    )
    assert spoil.places() == []
