"""RUL-001: two rules that can meet on one pair with equal specificity say the same."""

from __future__ import annotations

from typing import Any

from kb.checks import rules_agree


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(rules_agree) == []


def test_two_rules_of_one_pair_that_contradict(spoil: Any) -> None:
    spoil.add(
        "rules",
        "rule/soft-tube-in-rigid-compression",
        id="rule/soft-tube-in-rigid-compression-too",
        level="pass",
        requirement_id="",
    )
    assert spoil.places() == [spoil.place("RUL-001", "rules", "rule/soft-tube-in-rigid-compression", "level")]


def test_two_rules_that_meet_the_other_way_round(spoil: Any) -> None:
    spoil.add(
        "rules",
        "rule/plug-on-plug",
        id="rule/plug-on-plug-too",
        level="warning",
        requirement_id="requirement/thread-tried",
    )
    assert spoil.places() == [spoil.place("RUL-001", "rules", "rule/plug-on-plug", "level")]


def test_a_withdrawn_rule_contradicts_nobody(spoil: Any) -> None:
    spoil.add(
        "rules",
        "rule/soft-tube-in-rigid-compression",
        id="rule/soft-tube-in-rigid-compression-too",
        level="pass",
        requirement_id="",
        withdrawn_on="2026-11-26",
        withdrawn_reason="misprint",
    )
    assert spoil.places() == []


def test_rules_with_conditions_that_exclude_each_other(spoil: Any) -> None:
    spoil.add("rules", "rule/petg-warm", id="rule/petg-warm-cool", level="pass", requirement_id="")
    spoil.add(
        "rule_conditions",
        "condition/petg-warm-temperature",
        id="condition/petg-warm-cool",
        rule_id="rule/petg-warm-cool",
        operator="<",
        value="60",
    )
    assert spoil.places() == []


def test_a_withdrawn_condition_excludes_nothing(spoil: Any) -> None:
    spoil.add("rules", "rule/petg-warm", id="rule/petg-warm-cool", level="pass", requirement_id="")
    spoil.add(
        "rule_conditions",
        "condition/petg-warm-temperature",
        id="condition/petg-warm-cool",
        rule_id="rule/petg-warm-cool",
        operator="<",
        value="60",
    )
    spoil.add(
        "rule_conditions",
        "condition/petg-warm-temperature",
        id="condition/petg-warm-now",
        rule_id="rule/petg-warm-cool",
        operator=">=",
        value="60",
    )
    spoil.withdraw("rule_conditions", "condition/petg-warm-cool")
    assert spoil.places() == [spoil.place("RUL-001", "rules", "rule/petg-warm", "level")]
