"""REQ-001: every warning names a requirement or has conditions in numbers, and nothing else names one."""

from __future__ import annotations

from typing import Any

from kb.checks import warnings_name_requirements


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(warnings_name_requirements) == []


def test_a_warning_without_requirement_and_conditions(spoil: Any) -> None:
    spoil.set("rules", "rule/abs-in-acid", requirement_id="")
    assert spoil.places() == [spoil.place("REQ-001", "rules", "rule/abs-in-acid", "requirement_id")]


def test_a_rule_that_is_no_warning_and_names_one(spoil: Any) -> None:
    spoil.set("rules", "rule/abs-in-acetone", requirement_id="requirement/thread-tried")
    assert spoil.places() == [spoil.place("REQ-001", "rules", "rule/abs-in-acetone", "requirement_id")]


def test_a_limit_that_is_no_warning_and_names_one(spoil: Any) -> None:
    spoil.set("limits", "limit/coupling-pattern", requirement_id="requirement/thread-tried")
    assert spoil.places() == [spoil.place("REQ-001", "limits", "limit/coupling-pattern", "requirement_id")]
