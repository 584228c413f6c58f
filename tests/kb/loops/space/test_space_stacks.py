"""Radiators and fans in their places, holes that meet, room before ports, weight on cards."""

from __future__ import annotations

import pytest
from fill_space_asking import question, space, space_report
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.formulas.fit.radiator_stack import fans_depth_mm, port_need_mm
from kb.store.faults import QuestionError
from kb.store.snapshot import Snapshot
from schemas.tables.fans import Fan
from schemas.tables.radiators import Radiator
from schemas.verdict import Verdict


def verdicts(snapshot: Snapshot, asked: dict) -> dict[str, Verdict]:
    """Return the worst verdict of each kind of finding."""
    ordered = sorted(space(snapshot, asked).findings, key=lambda one: one.verdict.severity)
    return {one.code: one.verdict for one in ordered}


def place(**fields: float) -> dict:
    return {"place": {"depth_mm": 70, "fan_size_mm": 120, "hole_spacing_mm": 105} | fields}


def test_the_sound_loop_fits(snapshot: Snapshot) -> None:
    reported = space_report(snapshot, question())
    assert reported.verdict is Verdict.COMPATIBLE
    assert [(one.direction, one.needed_mm, one.margin_mm) for one in reported.stacks] == [("depth", 55, 15)]


@settings(max_examples=40, deadline=None)
@given(st.floats(1, 150), st.floats(0.1, 60))
def test_a_thicker_radiator_is_never_milder(snapshot: Snapshot, thickness: float, more: float) -> None:
    thin, thick = (
        verdicts(snapshot, question(rad={"thickness_mm": one}))["stack-clearance"]
        for one in (thickness, thickness + more)
    )
    assert thick.severity >= thin.severity


@settings(max_examples=40, deadline=None)
@given(st.floats(1, 200), st.floats(0.1, 100))
def test_a_deeper_place_is_never_worse(snapshot: Snapshot, depth: float, more: float) -> None:
    tight, wide = (
        verdicts(snapshot, question(rad=place(depth_mm=one)))["stack-clearance"] for one in (depth, depth + more)
    )
    assert wide.severity <= tight.severity


def test_push_and_pull_with_washers_takes_everything_twice(snapshot: Snapshot) -> None:
    fans = {"is": "fan/balanced-120", "arrangement": "push-pull"}
    asked = question(rad={"fans": fans, "screws": {"length_mm": 30, "washer_mm": 1.5}})
    assert space_report(snapshot, asked).stacks[0].needed_mm == 30 + 2 * 26.5
    assert fans_depth_mm(25, 1.5, 2) == 53


def test_a_frame_stated_thinner_beats_the_row(snapshot: Snapshot) -> None:
    asked = question(rad={"fans": {"is": "fan/balanced-120", "thickness_mm": 15}})
    assert space_report(snapshot, asked).stacks[0].fans_mm == 15


def test_length_and_width_are_judged_where_the_place_says_them(snapshot: Snapshot) -> None:
    reported = space_report(snapshot, question(rad=place(length_mm=270, width_mm=130)))
    by_direction = {one.direction: one.verdict for one in reported.stacks}
    assert by_direction == {
        "depth": Verdict.COMPATIBLE,
        "length": Verdict.INCOMPATIBLE,
        "width": Verdict.COMPATIBLE,
    }


def test_a_radiator_nobody_describes_is_unknown_in_a_place(snapshot: Snapshot) -> None:
    ports = {"in": "port/g-1-4-loop", "out": "port/g-1-4-loop"}
    asked = question()
    asked["parts"]["rad"] = {"kind": "radiator", "ports": ports, **place()}
    performance = space(snapshot, asked)
    about = [(one.code, one.verdict) for one in performance.findings if one.place == "rad"]
    assert about == [("dimension-missing", Verdict.UNKNOWN)]
    asked["parts"]["rad"]["thickness_mm"] = 40
    assert verdicts(snapshot, asked)["stack-clearance"] is Verdict.COMPATIBLE


def test_only_fans_of_the_radiators_size_go_on_it(snapshot: Snapshot) -> None:
    for radiator in snapshot.active(Radiator):
        for fan in snapshot.active(Fan):
            fits = fan.fan_size_mm == radiator.fan_size_mm
            matches = abs(fan.hole_spacing_mm - radiator.fan_hole_spacing_mm) <= 1
            assert matches or not fits, (radiator.id, fan.id)
    found = verdicts(snapshot, question(rad={"fans": {"is": "fan/balanced-140"}}))
    assert found["fan-size-difference"] is found["fan-hole-difference"] is Verdict.INCOMPATIBLE


def test_a_place_drilled_for_other_fans_is_reported(snapshot: Snapshot) -> None:
    reported = space_report(snapshot, question(rad=place(fan_size_mm=140, hole_spacing_mm=124.5)))
    wrong = [(one.between, one.what) for one in reported.holes if one.verdict is Verdict.INCOMPATIBLE]
    assert wrong == [("radiator and place", "hole spacing"), ("radiator and place", "fan size")]


def test_fans_that_no_table_holds_are_refused(snapshot: Snapshot) -> None:
    with pytest.raises(QuestionError) as caught:
        space(snapshot, question(rad={"fans": {"is": "fan/none-such"}}))
    assert caught.value.field == "parts.rad.fans.is"


def test_room_before_a_port_counts_fitting_bend_and_half_the_tube(snapshot: Snapshot) -> None:
    reported = {one.place: one for one in space_report(snapshot, question()).port_clearances}
    assert set(reported) == {"rad.in", "rad.out"}
    assert reported["rad.in"].needed_mm == 20 + 4 * 10 + 8
    asked = question()
    asked["runs"][3]["bend_radius_mm"] = 90
    assert {one.place: one.verdict for one in space_report(snapshot, asked).port_clearances}[
        "rad.in"
    ] is Verdict.CONDITIONAL


def test_an_angled_fitting_spares_the_bend(snapshot: Snapshot) -> None:
    asked = question(rad=place(port_clearance_mm=60))
    straight = {one.place: one for one in space_report(snapshot, asked).port_clearances}["rad.in"]
    asked["runs"][3]["fittings_to"] = ["fitting/elbow-90-g-1-4", *asked["runs"][3]["fittings_to"]]
    angled = {one.place: one for one in space_report(snapshot, asked).port_clearances}["rad.in"]
    assert straight.verdict is Verdict.CONDITIONAL
    assert angled.verdict is Verdict.COMPATIBLE
    assert angled.bend_mm == 8


@given(st.floats(0, 100), st.floats(0, 90), st.floats(0, 200), st.floats(0, 30))
def test_the_need_of_a_port_lies_between_fitting_and_full_bend(
    fitting: float, turn: float, radius: float, tube: float
) -> None:
    need = port_need_mm(fitting, turn, radius, tube)
    assert fitting + tube / 2 - 1e-9 <= need <= fitting + radius + tube / 2 + 1e-9


def test_a_heavy_block_wants_a_card_that_is_held(snapshot: Snapshot) -> None:
    for supported, weight, verdict in (
        (None, 400, Verdict.COMPATIBLE),
        (None, 900, Verdict.CONDITIONAL),
        (False, 900, Verdict.CONDITIONAL),
        (True, 900, Verdict.COMPATIBLE),
        (True, 3000, Verdict.CONDITIONAL),
    ):
        reported = space_report(snapshot, question(gpu={"added_weight_g": weight, "supported": supported})).weights[0]
        assert reported.verdict is verdict, (supported, weight)
        assert reported.coolant_g == pytest.approx(60, rel=0.03)
