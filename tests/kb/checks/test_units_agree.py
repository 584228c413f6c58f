"""UNI-001: limits, conditions and assumptions are written in the unit of their quantity."""

from __future__ import annotations

from typing import Any

from kb.checks import units_agree


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(units_agree) == []


def test_a_limit_in_another_unit(spoil: Any) -> None:
    spoil.set("limits", "limit/barb-stretch-small", unit="mm")
    assert spoil.places() == [spoil.place("UNI-001", "limits", "limit/barb-stretch-small", "unit")]


def test_a_condition_in_another_unit(spoil: Any) -> None:
    spoil.set("rule_conditions", "condition/petg-warm-temperature", unit="degF")
    assert spoil.places() == [spoil.place("UNI-001", "rule_conditions", "condition/petg-warm-temperature", "unit")]


def test_an_assumption_in_another_unit(spoil: Any) -> None:
    spoil.set("assumptions", "assumption/coolant-temperature", unit="K")
    assert spoil.places() == [spoil.place("UNI-001", "assumptions", "assumption/coolant-temperature", "unit")]
