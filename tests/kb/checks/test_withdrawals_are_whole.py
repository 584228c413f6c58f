"""ROW-001: a withdrawn row carries both the day and the reason."""

from __future__ import annotations

from typing import Any

from kb.checks import withdrawals_are_whole


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(withdrawals_are_whole) == []


def test_a_withdrawal_without_reason(spoil: Any) -> None:
    spoil.set("aliases", "alias/10-13", withdrawn_on="2026-11-26")
    assert spoil.places() == [spoil.place("ROW-001", "aliases", "alias/10-13", "withdrawn_reason")]


def test_a_reason_without_day(spoil: Any) -> None:
    spoil.set("tubes", "tube/soft-10x13", withdrawn_reason="misprint")
    assert spoil.places() == [spoil.place("ROW-001", "tubes", "tube/soft-10x13", "withdrawn_on")]


def test_a_whole_withdrawal(spoil: Any) -> None:
    spoil.withdraw("aliases", "alias/10-13")
    assert spoil.places() == []
