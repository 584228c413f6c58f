"""LIM-005: a limit can be broken."""

from __future__ import annotations

from typing import Any

from kb.checks import limits_can_break


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(limits_can_break) == []


def test_a_speed_of_at_least_zero(spoil: Any) -> None:
    spoil.set("limits", "limit/coolant-velocity-copper", comparison="at-least", value="0")
    assert spoil.places() == [spoil.place("LIM-005", "limits", "limit/coolant-velocity-copper", "value")]
