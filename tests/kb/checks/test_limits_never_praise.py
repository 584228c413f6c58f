"""LIM-001: breaking a limit is never compatible."""

from __future__ import annotations

from typing import Any

from kb.checks import limits_never_praise


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(limits_never_praise) == []


def test_a_broken_limit_that_is_compatible(spoil: Any) -> None:
    spoil.set("limits", "limit/coupling-pattern", verdict="compatible")
    assert spoil.places() == [spoil.place("LIM-001", "limits", "limit/coupling-pattern", "verdict")]
