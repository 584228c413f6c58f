"""LIM-003: one quantity, family, side and verdict has one limit."""

from __future__ import annotations

from typing import Any

from kb.checks import limits_speak_once


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(limits_speak_once) == []


def test_two_limits_of_which_one_is_never_heard(spoil: Any) -> None:
    spoil.add("limits", "limit/collar-gap-none", id="limit/collar-gap-zero", value="-1")
    assert spoil.places() == [spoil.place("LIM-003", "limits", "limit/collar-gap-zero", "level")]


def test_the_same_verdict_on_both_sides(spoil: Any) -> None:
    spoil.add("limits", "limit/collar-gap-none", id="limit/collar-gap-wide", comparison="at-most", value="500")
    assert spoil.places() == []
