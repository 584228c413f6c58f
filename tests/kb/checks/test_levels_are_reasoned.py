"""LVL-001: an error, a warning and a note say why they have their level."""

from __future__ import annotations

from typing import Any

import pytest

from kb.checks import levels_are_reasoned


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(levels_are_reasoned) == []


@pytest.mark.parametrize("rule", ["rule/abs-in-acetone", "rule/abs-in-acid", "rule/pmma-in-glycol"])
def test_a_rule_of_any_level_without_a_reason(spoil: Any, rule: str) -> None:
    spoil.set("rules", rule, level_reason="")
    assert spoil.places() == [spoil.place("LVL-001", "rules", rule, "level_reason")]


def test_a_limit_without_a_reason(spoil: Any) -> None:
    spoil.set("limits", "limit/coupling-pattern", level_reason="")
    assert spoil.places() == [spoil.place("LVL-001", "limits", "limit/coupling-pattern", "level_reason")]
