"""ROW-002: a row is not withdrawn before it was last checked."""

from __future__ import annotations

from typing import Any

from kb.checks import withdrawals_come_last


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(withdrawals_come_last) == []


def test_a_row_withdrawn_before_it_was_checked(spoil: Any) -> None:
    spoil.set("rules", "rule/brass-zinc-high", withdrawn_on="2026-11-24")
    assert spoil.places() == [spoil.place("ROW-002", "rules", "rule/brass-zinc-high", "withdrawn_on")]
