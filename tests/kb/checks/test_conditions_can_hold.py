"""CON-001: all conditions of one rule can hold together."""

from __future__ import annotations

from typing import Any

from kb.checks import conditions_can_hold


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(conditions_can_hold) == []


def test_a_value_above_and_below(spoil: Any) -> None:
    spoil.add(
        "rule_conditions", "condition/petg-warm-temperature", id="condition/petg-warm-upper", operator="<", value="60"
    )
    assert spoil.places() == [spoil.place("CON-001", "rule_conditions", "condition/petg-warm-upper", "value")]


def test_two_values_at_once(spoil: Any) -> None:
    spoil.set("rule_conditions", "condition/petg-warm-temperature", operator="=")
    spoil.add(
        "rule_conditions", "condition/petg-warm-temperature", id="condition/petg-warm-upper", operator="=", value="61"
    )
    assert spoil.places() == [spoil.place("CON-001", "rule_conditions", "condition/petg-warm-upper", "value")]


def test_a_range_with_one_value(spoil: Any) -> None:
    spoil.add(
        "rule_conditions", "condition/petg-warm-temperature", id="condition/petg-warm-upper", operator="<=", value="60"
    )
    assert spoil.places() == []
