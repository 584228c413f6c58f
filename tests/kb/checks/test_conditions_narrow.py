"""CON-002: every condition of a rule narrows it."""

from __future__ import annotations

from typing import Any

from kb.checks import conditions_narrow


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(conditions_narrow) == []


def test_a_wider_condition_beside_a_narrower_one(spoil: Any) -> None:
    spoil.add(
        "rule_conditions",
        "condition/copper-chloride-some-chloride-lower",
        id="condition/copper-chloride-some-chloride-lower-too",
        value="20",
    )
    assert spoil.places() == [
        spoil.place("CON-002", "rule_conditions", "condition/copper-chloride-some-chloride-lower-too", "value")
    ]


def test_the_same_condition_twice(spoil: Any) -> None:
    spoil.add(
        "rule_conditions",
        "condition/copper-chloride-some-chloride-lower",
        id="condition/copper-chloride-some-chloride-lower-too",
        source_id="source/iso-228-1",
    )
    assert spoil.places() == [
        spoil.place("CON-002", "rule_conditions", "condition/copper-chloride-some-chloride-lower-too", "value")
    ]
