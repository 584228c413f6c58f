"""A loop as a network: what enters a node leaves it, cycles close, and flow follows what stands in its way."""

from __future__ import annotations

from typing import Any

import pytest
from flow_asking import (
    flow,
    left_at_nodes,
    likely,
    pump,
    radiator,
    ring,
    side_by_side,
    tank,
    twelve,
    two_circuits,
    two_ports,
    two_pumps_side_by_side,
    valve,
)
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.formulas.flow.flow_path import Restriction
from kb.loops.flow.network import PartClogged, PumpsAt, ValveClosed, circuit_flow_l_min, solve_flow
from kb.store.faults import QuestionError
from kb.store.snapshot import Snapshot
from schemas.verdict import Verdict

LOOPS = [twelve(), side_by_side(one=None, two=20.0), two_pumps_side_by_side(speed_percent=60), two_circuits()]


@pytest.mark.parametrize("asked", LOOPS)
@pytest.mark.parametrize("end", Restriction)
def test_what_enters_a_node_leaves_it(snapshot: Snapshot, asked: dict[str, Any], end: Restriction) -> None:
    performance = flow(snapshot, asked)
    left = left_at_nodes(performance.network, performance.states[end].flows_l_min)
    assert all(abs(one) < 1e-9 for one in left.values())


@pytest.mark.parametrize("asked", LOOPS)
@pytest.mark.parametrize("end", Restriction)
def test_every_branch_takes_the_difference_of_its_nodes(
    snapshot: Snapshot, asked: dict[str, Any], end: Restriction
) -> None:
    """Around any cycle the differences sum to nothing; so the drops must, which are computed branch by branch."""
    performance = flow(snapshot, asked)
    state = performance.states[end]
    for name, branch in performance.network.branches.items():
        alone = branch.flow_path.path.element(performance.fluid, end).drop_kpa(state.flows_l_min[name])  # type: ignore[arg-type]
        difference = state.pressures_kpa[branch.start] - state.pressures_kpa[branch.end]
        assert alone == pytest.approx(difference, abs=1e-7)


def test_blocks_alike_side_by_side_share_evenly(snapshot: Snapshot) -> None:
    performance = flow(snapshot, side_by_side(one=None, two=None))
    assert likely(performance, "one") == pytest.approx(likely(performance, "two"), rel=1e-9)
    assert likely(performance, "one") + likely(performance, "two") == pytest.approx(
        likely(performance, "pump"), rel=1e-9
    )


def test_of_blocks_side_by_side_the_harder_one_gets_less(snapshot: Snapshot) -> None:
    """With legs and runs of next to no drop, 4 times the resistance at exponent 1.8 gives 4^(1/1.8) = 2.16 less."""
    performance = flow(snapshot, side_by_side(one=100.0, two=25.0))
    assert likely(performance, "two") / likely(performance, "one") == pytest.approx(4 ** (1 / 1.8), rel=0.05)


def test_blocks_side_by_side_let_more_through_than_one_behind_the_other(snapshot: Snapshot) -> None:
    drop = {"drop": {"flow_l_min": 4.0, "drop_kpa": 12.0}}
    gpu = {"kind": "block", "is": "block/gpu-full-cover", **drop}
    series = ring({"tank": tank(), "pump": pump(), "one": gpu, "two": gpu, "rad": radiator()})
    parallel = flow(snapshot, side_by_side(one=12.0, two=12.0))
    assert likely(parallel, "pump") > 1.2 * likely(flow(snapshot, series), "pump")


def test_two_pumps_in_series_add_head_and_side_by_side_share_flow(snapshot: Snapshot) -> None:
    rest = {"cpu": {"kind": "block", "is": "block/gpu-full-cover"}, "rad": radiator()}
    alone = flow(snapshot, ring({"tank": tank(), "one": pump(), **rest}))
    series = flow(snapshot, ring({"tank": tank(), "one": pump(), "two": pump(), **rest}))
    parallel = flow(snapshot, two_pumps_side_by_side())
    assert likely(series, "cpu") > 1.2 * likely(alone, "cpu")
    assert likely(parallel, "one") == pytest.approx(likely(parallel, "two"), rel=0.01)
    assert likely(parallel, "cpu") > likely(alone, "cpu")


def test_a_dead_pump_side_by_side_lets_coolant_run_backwards(snapshot: Snapshot) -> None:
    performance = flow(snapshot, two_pumps_side_by_side(speed_percent=0))
    assert likely(performance, "two") < -0.5
    (circuit,) = performance.network.circuits
    through = circuit_flow_l_min(circuit, performance.states[Restriction.USUAL].flows_l_min)
    assert through == pytest.approx(likely(performance, "cpu"))


def test_a_dead_pump_in_series_hinders(snapshot: Snapshot) -> None:
    rest = {"cpu": {"kind": "block", "is": "block/gpu-full-cover"}, "rad": radiator()}
    without = flow(snapshot, ring({"tank": tank(), "one": pump(), **rest}))
    dead = flow(snapshot, ring({"tank": tank(), "one": pump(), "two": pump(speed_percent=0), **rest}))
    assert 0 < likely(dead, "cpu") < likely(without, "cpu")


def test_circuits_are_solved_apart(snapshot: Snapshot) -> None:
    performance = flow(snapshot, two_circuits())
    assert len(performance.network.circuits) == 2
    assert likely(performance, "cpu") > 1
    assert likely(performance, "gpu") == 0


def test_a_closed_valve_stops_its_way_alone(snapshot: Snapshot) -> None:
    asked = side_by_side(one=None, two=None)
    asked["parts"]["gate"] = valve(closed=True)
    asked["runs"] = [one if one["to"] != "join.c" else {**one, "to": "gate.a"} for one in asked["runs"]]
    asked["runs"].append({"from": "gate.b", "to": "join.c", "fittings_from": [], "fittings_to": []})
    performance = flow(snapshot, asked)
    assert likely(performance, "two") == pytest.approx(0, abs=1e-9)
    assert likely(performance, "one") > 1


def test_changes_are_what_the_question_could_have_said(snapshot: Snapshot) -> None:
    """A change afterwards gives the flows of a question that states the same from the start."""
    performance = flow(snapshot, twelve())
    assert performance.fluid is not None
    slow, clogged, shut = twelve(pump(speed_percent=50)), twelve(), twelve()
    clogged["parts"]["filter"]["clogged_times"] = 5
    shut["parts"]["valve"]["closed"] = True
    changes = [(PumpsAt(0.5), slow), (PartClogged("filter", 5.0), clogged), (ValveClosed("valve"), shut)]
    for change, asked in changes:
        after = solve_flow(performance.network, performance.fluid, Restriction.USUAL, (change,)).flows_l_min
        said = flow(snapshot, asked)
        assert {name: pytest.approx(likely(said, name), abs=1e-7) for name in after} == dict(after)


def test_a_guess_changes_no_answer(snapshot: Snapshot) -> None:
    performance = flow(snapshot, side_by_side(one=None, two=20.0))
    assert performance.fluid is not None
    wild = dict.fromkeys(performance.network.branches, -7.0)
    guessed = solve_flow(performance.network, performance.fluid, Restriction.USUAL, (), wild).flows_l_min
    assert {name: pytest.approx(likely(performance, name), abs=1e-7) for name in guessed} == dict(guessed)


def test_further_ports_count_to_the_side_they_are_named_for(snapshot: Snapshot) -> None:
    asked = ring({"tank": tank(), "pump": pump(), "cpu": {"kind": "block", "ports": two_ports()}, "rad": radiator()})
    plain = likely(flow(snapshot, asked), "cpu")
    asked["parts"]["cpu"]["ports"]["in-2"] = "port/g-1-4-loop"
    asked["runs"][1]["to"] = "cpu.in-2"
    assert likely(flow(snapshot, asked), "cpu") == pytest.approx(plain)


def test_a_drop_from_the_spec_sheet_is_what_the_part_takes_of_water(snapshot: Snapshot) -> None:
    asked = ring({"tank": tank(), "pump": pump(), "cpu": {"kind": "block", "ports": two_ports()}, "rad": radiator()})
    asked["fluid"] = "fluid/distilled-water"
    free = flow(snapshot, asked, 25.0)
    at = likely(free, "cpu")
    asked["parts"]["cpu"]["drop"] = {"flow_l_min": at, "drop_kpa": free.states[Restriction.USUAL].drops_kpa["cpu"]}
    said = flow(snapshot, asked, 25.0)
    assert likely(said, "cpu") == pytest.approx(at, rel=1e-6)


def test_a_stated_curve_beats_the_class_of_the_pump(snapshot: Snapshot) -> None:
    weak = flow(snapshot, twelve(pump(curve=[[0, 10], [5, 6], [8, 0]])))
    assert weak.network.branches["pump"].flow_path.said_by == "stated"
    assert likely(weak, "pump") < 0.7 * likely(flow(snapshot, twelve()), "pump")


def test_a_class_scaled_to_a_stated_head_pushes_as_much_at_no_flow(snapshot: Snapshot) -> None:
    scaled = flow(snapshot, twelve(pump(head_max_kpa=60.0, flow_max_l_min=15.0)))
    curve = scaled.network.branches["pump"].flow_path.path.pumps[0].curve
    assert (curve.heads_kpa[0], curve.flows_l_min[-1]) == (pytest.approx(60.0), pytest.approx(15.0))


def test_points_that_are_no_curve_are_refused_with_their_place(snapshot: Snapshot) -> None:
    with pytest.raises(QuestionError) as refused:
        flow(snapshot, twelve(pump(curve=[[0, 10], [5, 12], [8, 0]])))
    assert refused.value.field == "parts.pump.curve"


def test_what_is_missing_is_named_and_no_flow_is_guessed(snapshot: Snapshot) -> None:
    unknown = {"kind": "pump", "ports": two_ports()}
    performance = flow(snapshot, twelve(unknown))
    assert not performance.states
    assert [(one.code, one.verdict) for one in performance.findings] == [("pump-curve-missing", Verdict.UNKNOWN)]


length = st.floats(50, 2000)


@settings(max_examples=12, deadline=None)
@given(length, length)
def test_a_longer_tube_never_lets_more_through(snapshot: Snapshot, one: float, other: float) -> None:
    short, long = (likely(flow(snapshot, twelve(length_mm=each)), "pump") for each in sorted((one, other)))
    assert long <= short + 1e-9


@settings(max_examples=12, deadline=None)
@given(st.floats(1, 100), st.floats(1, 100))
def test_a_faster_pump_never_moves_less(snapshot: Snapshot, one: float, other: float) -> None:
    slow, fast = (likely(flow(snapshot, twelve(pump(speed_percent=each))), "pump") for each in sorted((one, other)))
    assert slow <= fast + 1e-9


@settings(max_examples=12, deadline=None)
@given(st.floats(0, 55), st.floats(0, 55), st.floats(15, 60))
def test_more_glycol_never_flows_better(snapshot: Snapshot, one: float, other: float, temperature_c: float) -> None:
    thin, thick = (
        likely(flow(snapshot, twelve() | {"conditions": {"glycol-share": share}}, temperature_c), "pump")
        for share in sorted((one, other))
    )
    assert thick <= thin + 1e-9


@settings(max_examples=12, deadline=None)
@given(st.floats(1, 400), st.floats(1, 400))
def test_harsher_resistance_is_never_judged_milder(snapshot: Snapshot, one: float, other: float) -> None:
    def severity(times: float) -> int:
        asked = twelve()
        asked["parts"]["filter"]["clogged_times"] = times
        flows = [each for each in flow(snapshot, asked).findings if each.code in ("loop-flow", "part-flow")]
        return max(each.verdict.severity for each in flows)

    mild, harsh = sorted((one, other))
    assert severity(mild) <= severity(harsh)
