"""SRC-012: what a search did not find is a gap of low confidence."""

from __future__ import annotations

from typing import Any

from kb.checks import searches_find_nothing

RULE = "rule/glutaraldehyde-nickel-plate"


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(searches_find_nothing) == []


def test_a_search_without_result_that_is_trusted(spoil: Any) -> None:
    spoil.set("rules", RULE, confidence="medium")
    assert spoil.places() == [spoil.place("SRC-012", "rules", RULE, "confidence")]


def test_a_search_without_result_that_judges(spoil: Any) -> None:
    spoil.set("rules", RULE, level="pass")
    assert spoil.place("SRC-012", "rules", RULE, "level") in spoil.places()


def test_a_search_filed_as_a_computation(spoil: Any) -> None:
    spoil.set("rules", RULE, basis="computed")
    assert spoil.places() == [spoil.place("SRC-002", "rules", RULE, "basis")]
