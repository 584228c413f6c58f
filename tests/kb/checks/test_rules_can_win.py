"""RUL-002: every rule can win where it holds."""

from __future__ import annotations

from typing import Any

from kb.checks import rules_can_win


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(rules_can_win) == []


def test_a_rule_said_twice(spoil: Any) -> None:
    spoil.add(
        "rules", "rule/soft-tube-in-rigid-compression", id="rule/soft-tube-in-rigid-compression-too", reason="It slips."
    )
    assert spoil.places() == [spoil.place("RUL-002", "rules", "rule/soft-tube-in-rigid-compression-too", "id")]


def test_a_narrow_rule_behind_a_wider_one(spoil: Any) -> None:
    spoil.add("rules", "rule/petg-warm", id="rule/petg-warm-too", reason="It creeps.")
    spoil.add(
        "rule_conditions",
        "condition/petg-warm-temperature",
        id="condition/petg-warm-too",
        rule_id="rule/petg-warm-too",
        value="65",
    )
    assert spoil.places() == [spoil.place("RUL-002", "rules", "rule/petg-warm-too", "id")]


def test_a_rule_in_front_of_a_wider_one_can_win(spoil: Any) -> None:
    spoil.add("rules", "rule/petg-warm", id="rule/petg-warm-hot", reason="It creeps.")
    spoil.add(
        "rule_conditions",
        "condition/petg-warm-temperature",
        id="condition/petg-warm-hot",
        rule_id="rule/petg-warm-hot",
        value="50",
    )
    assert spoil.places() == []
