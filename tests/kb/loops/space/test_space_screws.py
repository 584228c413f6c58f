"""Screws of fans: they hold, and they stay clear of the core at the worst ends of tolerances."""

from __future__ import annotations

from typing import Any

import pytest
from fill_space_asking import question, space, space_report
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from kb.formulas.fit.fan_screws import (
    Clamped,
    least_engagement_mm,
    least_gap_mm,
    longest_length_mm,
    reach_mm,
    shortest_length_mm,
)
from kb.report.sentences.findings import finding_remedy, finding_sentence
from kb.store.snapshot import Snapshot
from schemas.answers.space import ScrewFit
from schemas.verdict import Verdict

LENGTHS = st.floats(5, 80)


def reported(snapshot: Snapshot, **screws: Any) -> ScrewFit:
    return space_report(snapshot, question(rad={"screws": screws})).screws[0]


def severities(snapshot: Snapshot, length: float, **screws: Any) -> dict[str, int]:
    performance = space(snapshot, question(rad={"screws": {"length_mm": length} | screws}))
    return {one.code: one.verdict.severity for one in performance.screws[0].findings}


def test_a_screw_of_the_right_length_holds_and_stays_clear(snapshot: Snapshot) -> None:
    one = reported(snapshot, length_mm=29, thread="m3", behind_plate_mm=6)
    assert one.verdict is Verdict.COMPATIBLE
    assert one.safe_length_high_mm is not None
    assert one.safe_length_low_mm <= 29 <= one.safe_length_high_mm
    assert (one.reach_mm, one.clamped_mm, one.free_known) == (4, 25, "stated")


def test_a_long_screw_pierces_a_tube(snapshot: Snapshot) -> None:
    one = reported(snapshot, length_mm=35, behind_plate_mm=6)
    assert one.verdict is Verdict.INCOMPATIBLE
    assert one.margin_mm == pytest.approx(6 - 10 - 0.72)


def test_a_screw_that_clears_at_nominal_size_only_is_not_called_well(snapshot: Snapshot) -> None:
    one = reported(snapshot, length_mm=30, behind_plate_mm=5.5)
    assert reach_mm(30, Clamped(25, 0.3, 0.42)) < 5.5
    assert one.verdict is Verdict.INCOMPATIBLE


def test_a_washer_takes_away_its_thickness(snapshot: Snapshot) -> None:
    assert reported(snapshot, length_mm=30, behind_plate_mm=5.5, washer_mm=1).verdict is Verdict.COMPATIBLE


def test_a_short_screw_does_not_catch(snapshot: Snapshot) -> None:
    assert reported(snapshot, length_mm=25, behind_plate_mm=6).verdict is Verdict.INCOMPATIBLE
    assert reported(snapshot, length_mm=27.5, behind_plate_mm=6).verdict is Verdict.CONDITIONAL


@settings(max_examples=60, deadline=None)
@given(LENGTHS, st.floats(0.01, 40), st.floats(0, 30))
def test_a_longer_screw_never_comes_less_near_and_never_holds_less(
    snapshot: Snapshot, length: float, more: float, free: float
) -> None:
    short, long = (severities(snapshot, one, behind_plate_mm=free) for one in (length, length + more))
    assert long["screw-gap"] >= short["screw-gap"]
    assert long["screw-engagement"] <= short["screw-engagement"]


@settings(max_examples=60, deadline=None)
@given(st.floats(26, 60), st.floats(0.01, 20), st.floats(0, 30))
def test_beyond_the_safe_length_a_longer_screw_is_never_milder(
    snapshot: Snapshot, length: float, more: float, free: float
) -> None:
    one = reported(snapshot, length_mm=length, behind_plate_mm=free)
    assume(one.safe_length_high_mm is not None and length >= max(one.safe_length_high_mm, one.safe_length_low_mm))
    other = reported(snapshot, length_mm=length + more, behind_plate_mm=free)
    assert other.verdict.severity >= one.verdict.severity


@given(LENGTHS, st.floats(10, 60), st.floats(0, 2), st.floats(0, 2), st.floats(0, 30), st.floats(0, 5))
def test_safe_lengths_are_the_inverse_of_what_is_judged(
    _length: float, thickness: float, frame: float, screw: float, free: float, wanted: float
) -> None:
    clamped = Clamped(thickness, frame, screw)
    shortest, longest = shortest_length_mm(clamped, wanted), longest_length_mm(clamped, free, wanted)
    assert least_engagement_mm(shortest, clamped) == pytest.approx(wanted, abs=1e-9)
    assert least_gap_mm(longest, clamped, free) == pytest.approx(wanted, abs=1e-9)


def test_an_unknown_free_depth_is_unknown_with_the_longest_screw_of_a_usual_frame(snapshot: Snapshot) -> None:
    performance = space(snapshot, question(rad={"screws": {"length_mm": 29}}))
    finding = next(one for one in performance.findings if one.code == "free-depth-missing")
    assert finding.verdict is Verdict.UNKNOWN
    assert "28.78 mm" in finding_sentence(snapshot, finding)
    assert "behind_plate_mm" in (finding_remedy(snapshot, finding) or "")
    one = reported(snapshot, length_mm=29)
    assert (one.free_known, one.free_mm) == ("estimated", 5)
    assert one.safe_length_high_mm == pytest.approx(25 + 5 - 0.5 - 0.72)


def test_a_screw_beyond_all_that_frame_and_core_leave_is_wrong_however_the_core_sits(snapshot: Snapshot) -> None:
    assert reported(snapshot, length_mm=29).verdict is Verdict.UNKNOWN
    assert reported(snapshot, length_mm=36).verdict is Verdict.INCOMPATIBLE


def test_a_core_nobody_describes_leaves_no_estimate(snapshot: Snapshot) -> None:
    asked = question()
    asked["parts"]["rad"] = {
        "kind": "radiator",
        "ports": {"in": "port/g-1-4-loop", "out": "port/g-1-4-loop"},
        "fans": {"is": "fan/balanced-120"},
        "screws": {"length_mm": 30, "thread": "m4"},
    }
    one = space_report(snapshot, asked).screws[0]
    assert (one.free_known, one.free_mm, one.safe_length_high_mm) == ("unknown", None, None)
    assert one.verdict is Verdict.UNKNOWN
    del asked["parts"]["rad"]["screws"]["thread"]
    performance = space(snapshot, asked)
    assert performance.screws == ()
    assert [one.code for one in performance.findings if one.place == "rad"] == ["dimension-missing"]


def test_another_thread_does_not_go_in(snapshot: Snapshot) -> None:
    assert reported(snapshot, length_mm=29, thread="m4", behind_plate_mm=6).verdict is Verdict.INCOMPATIBLE
    assert reported(snapshot, length_mm=29, thread="6-32-unc", behind_plate_mm=6).verdict is Verdict.INCOMPATIBLE


def test_what_tolerances_were_assumed_is_reported_and_stated_ones_beat_them(snapshot: Snapshot) -> None:
    rows = {one.row for one in space_report(snapshot, question()).assumed}
    assert {"assumption/screw-length-tolerance", "assumption/fan-thickness-tolerance"} <= rows
    asked = question(rad={"screws": {"length_mm": 30, "behind_plate_mm": 5.5}})
    asked["conditions"] = {"screw-length-tolerance": 0, "fan-thickness-tolerance": 0}
    assert space_report(snapshot, asked).screws[0].verdict is Verdict.COMPATIBLE
