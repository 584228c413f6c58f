"""What is judged of flow: every limit can be broken, a sound loop breaks none, the answer names what it cites."""

from __future__ import annotations

from typing import Any

import pytest
from flow_asking import (
    block,
    flow,
    likely,
    pump,
    radiator,
    reported,
    ring,
    run,
    side_by_side,
    tank,
    twelve,
    two_circuits,
    two_ports,
    two_pumps_side_by_side,
)

from kb.evidence.tree import Finding, LimitCheck
from kb.formulas.flow.flow_path import Restriction
from kb.knowledge_base import KnowledgeBase
from kb.loops.coolant import LoopCoolant
from kb.store.snapshot import Snapshot
from schemas.questions.loop import LoopQuestion
from schemas.tables.limits import Limit
from schemas.verdict import Verdict

FLOW_QUANTITIES = {
    f"quantity/{name}"
    for name in (
        *("coolant-pressure", "coolant-pressure-least", "coolant-velocity", "loop-flow", "part-flow", "reservoirs"),
        *("parts-before-pump", "height-above-surface", "pump-speed-margin", "pump-flow-share"),
    )
}
HARD = {"drop": {"flow_l_min": 1.0, "drop_kpa": 300.0}}
STRONG = {"curve": [[0, 900], [20, 400], [40, 0]]}
COPPER, RIGID = "tube/copper-b88-3-8-l", "tube/acrylic-13x10"


def strong(**more: Any) -> dict[str, Any]:
    return twelve(pump(**STRONG), **more)


def before_the_pump(**first: Any) -> dict[str, Any]:
    return ring({"tank": tank(), "rad": radiator(**first), "pump": pump(), "cpu": block()})


def behind_the_loop() -> dict[str, Any]:
    """Return a loop whose second reservoir stands behind a strong pump."""
    return ring({"tank": tank(), "pump": pump(**STRONG), "pot": tank(), "cpu": block(**HARD)})


def at(height_mm: float, name: str) -> dict[str, Any]:
    asked = twelve()
    asked["parts"][name]["height_mm"] = height_mm
    return asked


def ringless(**more: Any) -> dict[str, Any]:
    return ring({"pump": pump(), "cpu": block(), "rad": radiator()}, **more)


BREAKING: dict[str, dict[str, Any]] = {
    "limit/coolant-pressure-block": strong(),
    "limit/coolant-pressure-least-loop": before_the_pump(drop={"flow_l_min": 1.0, "drop_kpa": 20.0}),
    "limit/coolant-pressure-least-pump": before_the_pump(drop={"flow_l_min": 1.0, "drop_kpa": 20.0}),
    "limit/coolant-pressure-radiator": strong(),
    "limit/coolant-pressure-reservoir": behind_the_loop(),
    "limit/coolant-pressure-rigid-compression": strong(
        tube=RIGID, fittings_from=["fitting/rigid-13-g-1-4"], fittings_to=["fitting/rigid-13-g-1-4"]
    ),
    "limit/coolant-pressure-tube-rigid": strong(tube=RIGID),
    "limit/coolant-pressure-tube-soft": strong(),
    "limit/coolant-velocity-copper": strong(tube=COPPER),
    "limit/coolant-velocity-fitting": strong(),
    "limit/coolant-velocity-tube": strong(),
    "limit/height-above-surface-part": at(300.0, "top"),
    "limit/height-above-surface-pump": at(50.0, "pump"),
    "limit/loop-flow-none": two_circuits(),
    "limit/loop-flow-small": twelve(pump(speed_percent=20)),
    "limit/part-flow-small": side_by_side(one=None, two=900.0),
    "limit/parts-before-pump": before_the_pump(),
    "limit/pump-flow-share-backwards": two_pumps_side_by_side(speed_percent=20),
    "limit/pump-flow-share-free": ring(
        {"tank": tank(), "one": pump(), "two": pump(speed_percent=5), "cpu": block(), "rad": radiator()}
    ),
    "limit/pump-speed-least": twelve(pump(speed_percent=20)),
    "limit/reservoirs-none": ringless(),
}


def broken(findings: tuple[Finding, ...]) -> set[str]:
    return {
        node.limit.id for one in findings for node in one.evidence if isinstance(node, LimitCheck) and not node.holds
    }


@pytest.mark.parametrize("limit", BREAKING)
def test_a_limit_is_broken_where_it_should_be(snapshot: Snapshot, limit: str) -> None:
    assert limit in broken(flow(snapshot, BREAKING[limit]).findings)


def test_no_limit_of_flow_is_left_out_here(snapshot: Snapshot) -> None:
    assert {row.id for row in snapshot.active(Limit) if row.quantity_id in FLOW_QUANTITIES} == set(BREAKING)


def test_nothing_is_broken_in_a_sound_loop(snapshot: Snapshot) -> None:
    performance = flow(snapshot, twelve())
    assert not broken(performance.findings)
    assert {one.verdict for one in performance.findings} == {Verdict.COMPATIBLE}


def test_a_circuit_without_pump_is_incompatible_and_named(snapshot: Snapshot) -> None:
    flows = {one.place: one.verdict for one in flow(snapshot, two_circuits()).findings if one.code == "loop-flow"}
    assert flows == {
        "the loop: circuit of pump": Verdict.COMPATIBLE,
        "the loop: circuit of pot": Verdict.INCOMPATIBLE,
    }


def test_a_pump_in_its_reservoir_is_fed(snapshot: Snapshot) -> None:
    asked = ring({"tank": tank(), "pump": pump(sits_in="tank"), "cpu": block(), "rad": radiator()})
    del asked["runs"][0]
    performance = flow(snapshot, asked)
    assert not broken(performance.findings)
    assert likely(performance, "pump") > 1


def test_a_pump_that_another_pump_feeds_needs_no_reservoir_before_it(snapshot: Snapshot) -> None:
    rest = {"cpu": block(), "rad": radiator()}
    performance = flow(snapshot, ring({"tank": tank(), "one": pump(), "gpu": block(), "two": pump(), **rest}))
    assert [one.place for one in performance.findings if one.code == "parts-before-pump"] == ["one"]


def test_a_part_deep_below_the_surface_bears_the_column(snapshot: Snapshot) -> None:
    """One metre of coolant is 0.1 bar."""

    def pressure(asked: dict[str, Any]) -> float:
        (inlet,) = (one.inlet_kpa for one in reported(snapshot, asked).parts if one.name == "gpu")
        assert inlet is not None
        return inlet

    assert pressure(at(-1000.0, "gpu")) - pressure(twelve()) == pytest.approx(9.9, abs=0.2)


def test_without_a_reservoir_no_pressure_is_reported(snapshot: Snapshot) -> None:
    answer = reported(snapshot, ringless())
    assert answer.worst_pressure is None
    assert {one.inlet_kpa for one in answer.parts} == {None}


def test_the_greatest_pressure_is_behind_the_pump(snapshot: Snapshot) -> None:
    place = reported(snapshot, twelve()).worst_pressure
    assert place is not None
    assert "pump" in place.place
    assert 0.2 < place.bar < 0.38


def test_the_band_holds_what_is_likely(snapshot: Snapshot) -> None:
    """Where all parts are restrictive the flow is small: drops of single parts therefore vary less than flows."""
    answer = reported(snapshot, twelve())
    assert all(one.low < one.likely < one.high for one in (part.flow_l_min for part in answer.parts))
    assert all(one.low <= one.likely <= one.high for one in (part.drop_kpa for part in answer.parts))


def test_a_split_is_reported_in_shares(snapshot: Snapshot) -> None:
    (split,) = reported(snapshot, side_by_side(one=None, two=None)).splits
    assert split.at == "fork"
    assert {one.to: round(one.share_percent, 6) for one in split.branches} == {"one": 50.0, "two": 50.0}


def test_regimes_of_runs_are_reported(snapshot: Snapshot) -> None:
    assert {one.regime for one in reported(snapshot, twelve()).runs} == {"turbulent"}
    assert {one.regime for one in reported(snapshot, twelve(pump(speed_percent=0))).runs} == {"still"}


def test_failures_are_reported_with_their_flows(snapshot: Snapshot) -> None:
    answer = reported(snapshot, twelve())
    cases = {one.what: one for one in answer.failure_cases}
    assert set(cases) == {"pump-dead", "filter-clogged", "valve-closed"}
    assert cases["pump-dead"].flow_then_l_min == 0
    assert 0 < cases["filter-clogged"].flow_then_l_min < cases["filter-clogged"].flow_now_l_min
    assert cases["filter-clogged"].times == snapshot.assumption("quantity/clogged-times").value  # type: ignore[union-attr]
    assert cases["valve-closed"].flow_then_l_min == 0


def test_one_of_two_parallel_pumps_dead_is_reported_to_run_backwards(snapshot: Snapshot) -> None:
    cases = reported(snapshot, two_pumps_side_by_side()).failure_cases
    assert [one.part for one in cases] == ["one", "two"]
    assert all("backwards" in one.sentence for one in cases)
    assert all(0 < one.flow_then_l_min < one.flow_now_l_min for one in cases)


def test_every_assumption_is_reported_and_a_stated_value_beats_it(snapshot: Snapshot) -> None:
    open_run = {"length_mm": None, "bends_deg": None}
    assumed = {one.quantity for one in reported(snapshot, twelve(**open_run)).assumed}
    wanted = {"bend-angle", "bend-radius-ratio", "clogged-times", "pump-speed", "run-length", "tube-roughness"}
    assert assumed == {f"quantity/{name}" for name in wanted}
    stated = twelve(pump(speed_percent=80)) | {"conditions": {"tube-roughness": 0.01}}
    left = {one.quantity for one in reported(snapshot, stated).assumed}
    assert not left & {"quantity/pump-speed", "quantity/tube-roughness", "quantity/run-length"}


@pytest.mark.parametrize(
    ("fluid", "glycol", "share"),
    [
        ("fluid/distilled-water", None, 0.0),
        ("fluid/propylene-glycol-inhibited-40", "propylene-glycol", 40.0),
        ("fluid/dyed-premix", "propylene-glycol", 25.0),
        ({"kind": "fluid", "is": "fluid/dyed-premix", "properties": {"glycol-share": 30}}, "propylene-glycol", 30.0),
    ],
)
def test_the_coolant_is_known_from_the_nearest_that_says_it(
    snapshot: Snapshot, fluid: Any, glycol: str | None, share: float
) -> None:
    coolant = flow(snapshot, twelve() | {"fluid": fluid}).coolant
    assert (coolant.glycol, coolant.volume_percent) == (glycol, share)


@pytest.mark.parametrize("fluid", [None, "fluid/mineral-oil", "fluid/propylene-glycol-inhibited"])
def test_a_liquid_without_properties_is_unknown(base: KnowledgeBase, fluid: str | None) -> None:
    asked = LoopQuestion.model_validate(twelve() | {"fluid": fluid, "sections": ["flow"]})
    (finding,) = base.loop(asked).findings
    assert (finding.code, finding.verdict) == ("coolant-properties-missing", Verdict.UNKNOWN)
    assert finding.remedy


def test_between_points_of_the_grid_the_coolant_is_the_librarys(snapshot: Snapshot) -> None:
    coolant = flow(snapshot, twelve()).coolant
    assert isinstance(coolant, LoopCoolant)
    for temperature in (7.13, 33.77, 61.25):
        exact = coolant._at_point(temperature)
        assert coolant.at(temperature) == pytest.approx(exact, rel=1e-4)


def test_what_is_reported_goes_to_json_and_back(snapshot: Snapshot) -> None:
    answer = reported(snapshot, side_by_side(one=None, two=10.0))
    assert type(answer).from_json(answer.to_json()) == answer


def test_a_run_of_fittings_alone_has_no_tube(snapshot: Snapshot) -> None:
    asked = twelve()
    asked["runs"][0] = {"from": "tank.out", "to": "pump.in", "fittings_from": ["fitting/rotary-elbow-90-g-1-4"]}
    first = reported(snapshot, asked).runs[0]
    assert first.narrowest == "fitting/rotary-elbow-90-g-1-4"
    assert first.drop_kpa.likely > 0


def test_an_unknown_bore_leaves_the_flow_unknown(snapshot: Snapshot) -> None:
    asked = twelve()
    asked["runs"][0] = run("tank.out", "pump.in", tube={"kind": "tube", "family": "family/tube-soft", "od_mm": 16})
    performance = flow(snapshot, asked)
    assert [(one.code, one.verdict) for one in performance.findings] == [("dimension-missing", Verdict.UNKNOWN)]


def test_a_radiator_known_by_its_core_takes_what_its_class_takes_within_the_band(snapshot: Snapshot) -> None:
    """Two ways to the same drop, core and class, may differ, but their ranges have to meet."""
    core = flow(snapshot, ring({"tank": tank(), "pump": pump(), "rad": radiator("240x30-low")}))
    kind = flow(snapshot, ring({"tank": tank(), "pump": pump(), "rad": {"kind": "radiator", "ports": two_ports()}}))

    def drops(performance: Any) -> list[float]:
        path = performance.network.branches["rad"].flow_path.path
        return [path.element(performance.fluid, end).drop_kpa(4.0) for end in (Restriction.LOW, Restriction.HIGH)]

    (low, high), (least, most) = drops(core), drops(kind)
    assert max(low, least) < min(high, most)
