"""Expansion space: how much warm coolant expands, what it expands into, and what a pressure test with air may press."""

from __future__ import annotations

import pytest
from fill_space_asking import fill, fill_report, question
from hypothesis import given
from hypothesis import strategies as st

from kb.formulas.coolant.expansion import expansion_ml, shut_in_pressure_bar
from kb.loops.fill.judge import EXPANSION_SPACE_MISSING
from kb.report.sentences.findings import finding_sentence
from kb.store.snapshot import Snapshot
from schemas.verdict import Verdict


def expansion_verdict(snapshot: Snapshot, air_ml: float, hottest_c: float) -> Verdict:
    reported = fill_report(snapshot, question(tank={"air_ml": air_ml}), hottest_c)
    assert reported.expansion is not None
    return reported.expansion.verdict


def test_hotter_coolant_and_less_air_are_never_milder(snapshot: Snapshot) -> None:
    hotter = [expansion_verdict(snapshot, 8, temperature).severity for temperature in (25, 35, 45, 55, 65)]
    assert hotter == sorted(hotter)
    assert hotter[0] < hotter[-1]
    less = [expansion_verdict(snapshot, air, 45).severity for air in (50, 20, 8, 2, 0)]
    assert less == sorted(less)
    assert less[0] < less[-1]


def test_the_hottest_coolant_comes_from_the_heat_the_question_or_the_tables(snapshot: Snapshot) -> None:
    stated = question() | {"conditions": {"coolant-temperature": 50}}
    cases = ((question(), None, "assumed", 40), (stated, None, "stated", 50), (stated, 44.0, "computed", 44))
    for asked, hottest, known, temperature in cases:
        expansion = fill_report(snapshot, asked, hottest).expansion
        assert expansion is not None
        assert (expansion.to_known, expansion.to_c) == (known, temperature)


def test_a_colder_room_leaves_more_to_grow(snapshot: Snapshot) -> None:
    cold, warm = (fill_report(snapshot, question() | {"air_c": air}).expansion for air in (15, 30))
    assert cold is not None
    assert warm is not None
    assert cold.expansion_ml > warm.expansion_ml


def test_unknown_air_is_unknown_and_said_in_a_sentence(snapshot: Snapshot) -> None:
    asked = question()
    asked["parts"]["tank"] = {
        "kind": "reservoir",
        "ports": dict.fromkeys(("in", "out", "fill", "drain"), "port/g-1-4-loop"),
    }
    performance = fill(snapshot, asked)
    finding = next(one for one in performance.findings if one.code == EXPANSION_SPACE_MISSING)
    assert finding.verdict is Verdict.UNKNOWN
    assert "expansion space" in finding_sentence(snapshot, finding)


def test_a_boiling_loop_is_not_called_well(snapshot: Snapshot) -> None:
    reported = fill_report(snapshot, question() | {"fluid": "fluid/distilled-water"}, 130.0)
    assert reported.expansion is None
    assert reported.verdict is Verdict.UNKNOWN


@given(st.floats(1, 1e4), st.floats(0, 40), st.floats(0, 40))
def test_shut_in_air_presses_more_the_more_the_coolant_grows(air: float, some: float, more: float) -> None:
    first = shut_in_pressure_bar(air, some, 25, 40)
    second = shut_in_pressure_bar(air, some + more, 25, 40)
    assert second is None or (first is not None and second >= first)


def test_growth_there_and_back_is_nothing() -> None:
    grown = 1000 + expansion_ml(1000, 998.0, 990.0)
    assert grown + expansion_ml(grown, 990.0, 998.0) == pytest.approx(1000)


def test_the_air_test_spares_the_weakest_part(snapshot: Snapshot) -> None:
    test = fill_report(snapshot, question()).leak_test
    assert test is not None
    assert (test.weakest, test.limit) == ("tank", "limit/coolant-pressure-reservoir")
    assert test.pressure_bar == pytest.approx(0.4)
    asked = question()
    del asked["parts"]["tank"], asked["plugs"]
    asked["runs"] = [*asked["runs"][1:4], asked["runs"][4] | {"to": "pump.in"}]
    without = fill_report(snapshot, asked).leak_test
    assert without is not None
    assert without.pressure_bar == pytest.approx(1.2)


def test_a_stated_share_of_the_rating_beats_the_assumed_one(snapshot: Snapshot) -> None:
    test = fill_report(snapshot, question() | {"conditions": {"leak-test-share": 50}}).leak_test
    assert test is not None
    assert test.pressure_bar == pytest.approx(0.25)
