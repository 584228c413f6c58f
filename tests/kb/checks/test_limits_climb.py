"""LIM-002: within one limit set the more severe verdict lies further out."""

from __future__ import annotations

from typing import Any

from kb.checks import limits_climb


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(limits_climb) == []


def test_an_incompatible_limit_inside_the_conditional_one(spoil: Any) -> None:
    spoil.set("limits", "limit/barb-stretch-none-barb", value="9")
    assert spoil.places() == [spoil.place("LIM-002", "limits", "limit/barb-stretch-none-barb", "value")]


def test_two_verdicts_at_one_value(spoil: Any) -> None:
    spoil.set("limits", "limit/barb-stretch-none-barb", value="8")
    assert spoil.places() == [spoil.place("LIM-002", "limits", "limit/barb-stretch-none-barb", "value")]


def test_an_upper_limit_that_grows_milder_outwards(spoil: Any) -> None:
    spoil.add(
        "limits",
        "limit/wall-thinning-barb",
        id="limit/wall-thinning-harsh",
        value="30",
        level="error",
        requirement_id="",
    )
    assert spoil.places() == [spoil.place("LIM-002", "limits", "limit/wall-thinning-harsh", "value")]


def test_a_limit_that_contradicts_the_one_of_its_wider_family(spoil: Any) -> None:
    spoil.add(
        "limits",
        "limit/wall-thinning-barb",
        id="limit/wall-thinning-inherited",
        family_id="family/end-tube",
        value="30",
        level="error",
        requirement_id="",
    )
    spoil.withdraw("limits", "limit/wall-thinning-soft-compression")
    assert spoil.places() == [spoil.place("LIM-002", "limits", "limit/wall-thinning-inherited", "value")]


def test_an_incompatible_limit_further_out(spoil: Any) -> None:
    spoil.add(
        "limits",
        "limit/wall-thinning-barb",
        id="limit/wall-thinning-harsh",
        value="60",
        level="error",
        requirement_id="",
    )
    assert spoil.places() == []


def test_withdrawn_limits_stand_on_no_ladder(spoil: Any) -> None:
    spoil.add(
        "limits",
        "limit/wall-thinning-barb",
        id="limit/wall-thinning-harsh",
        value="30",
        level="error",
        requirement_id="",
        withdrawn_on="2026-11-26",
        withdrawn_reason="misprint",
    )
    assert spoil.places() == []
