"""LIM-004: the limits of a quantity leave values that break none of them."""

from __future__ import annotations

from typing import Any

from kb.checks import limits_leave_room


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(limits_leave_room) == []


def test_a_lower_limit_above_the_upper_one(spoil: Any) -> None:
    spoil.add("limits", "limit/wall-thinning-barb", id="limit/wall-thinning-least", comparison="at-least", value="36")
    assert spoil.places() == [spoil.place("LIM-004", "limits", "limit/wall-thinning-least", "value")]


def test_both_limits_at_one_value_leave_that_value(spoil: Any) -> None:
    spoil.add("limits", "limit/wall-thinning-barb", id="limit/wall-thinning-least", comparison="at-least", value="35")
    assert spoil.places() == []
