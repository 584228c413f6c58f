"""CON-003: a condition can hold and can fail."""

from __future__ import annotations

from typing import Any

from kb.checks import conditions_decide


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(conditions_decide) == []


def test_a_concentration_at_least_zero(spoil: Any) -> None:
    spoil.set("rule_conditions", "condition/copper-chloride-some-chloride-lower", value="0")
    assert spoil.places() == [
        spoil.place("CON-003", "rule_conditions", "condition/copper-chloride-some-chloride-lower", "operator")
    ]


def test_a_concentration_less_than_zero(spoil: Any) -> None:
    spoil.set("rule_conditions", "condition/copper-ammonium-low-ammonium", operator="<", value="0")
    assert spoil.places() == [
        spoil.place("CON-003", "rule_conditions", "condition/copper-ammonium-low-ammonium", "operator")
    ]
