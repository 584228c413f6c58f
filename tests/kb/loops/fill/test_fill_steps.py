"""Where to fill and drain, the steps of doing it, and what to look at afterwards."""

from __future__ import annotations

from fill_space_asking import fill, fill_report, question

from kb.store.snapshot import Snapshot
from schemas.tables.maintenance import Maintenance
from schemas.tables.procedures import Procedure, Stage
from schemas.verdict import Verdict

PVC = {"is": "tube/soft-10x16", "material": "plastic/pvc-plasticised"}
EPDM = {"is": "tube/soft-10x16", "material": "elastomer/epdm"}


def verdicts(snapshot: Snapshot, asked: dict) -> dict[str, Verdict]:
    return {one.code: one.verdict for one in fill(snapshot, asked).findings}


def test_ports_named_so_serve_to_fill_and_drain(snapshot: Snapshot) -> None:
    reported = fill_report(snapshot, question())
    assert [one.place for one in reported.fill_ports] == ["tank.fill"]
    assert [one.place for one in reported.drain_points] == ["tank.drain", "pump"]


def test_a_loop_without_a_place_to_drain_or_fill_is_conditional(snapshot: Snapshot) -> None:
    ports = {"in": "port/g-1-4-loop", "out": "port/g-1-4-loop"}
    asked = question(tank={"ports": ports})
    del asked["plugs"]
    found = verdicts(snapshot, asked)
    assert found["fill-ports"] is found["drain-points"] is Verdict.CONDITIONAL
    assert verdicts(snapshot, question())["fill-ports"] is Verdict.COMPATIBLE


def test_a_valve_that_closes_a_port_serves_to_drain(snapshot: Snapshot) -> None:
    ports = dict.fromkeys(("in", "out", "extra"), "port/g-1-4-loop")
    asked = question(pump={"ports": ports}, tank={"ports": {"in": ports["in"], "out": ports["in"]}})
    asked["plugs"] = {"pump.extra": "fitting/drain-valve-g-1-4-barb-10"}
    assert [one.place for one in fill_report(snapshot, asked).drain_points] == ["pump.extra", "pump"]


def test_a_free_port_of_the_lowest_part_serves_to_drain_and_one_further_up_does_not(snapshot: Snapshot) -> None:
    ports = dict.fromkeys(("in", "out", "extra"), "port/g-1-4-loop")
    for height, places in ((-300, ["rad.extra", "tank.drain", "rad"]), (-100, ["tank.drain", "pump"])):
        reported = fill_report(snapshot, question(rad={"ports": ports, "height_mm": height}))
        assert [one.place for one in reported.drain_points] == places


def test_steps_come_in_the_order_of_doing(snapshot: Snapshot) -> None:
    steps = fill_report(snapshot, question()).steps
    stages = [list(Stage).index(Stage(step.stage)) for step in steps]
    assert stages == sorted(stages)
    assert {step.stage for step in steps} == {stage.value for stage in Stage}
    titles = [step.id for step in steps]
    assert titles.index("procedure/leak-pressure-test") < titles.index("procedure/fill-reservoir")


def test_every_stage_near_electricity_or_pressure_carries_a_caution(snapshot: Snapshot) -> None:
    cautions = {stage: set() for stage in Stage}
    for row in snapshot.active(Procedure):
        cautions[row.stage].add(row.caution_id)
    assert cautions[Stage.LEAK_TEST] == {"caution/air-pressure"}
    for stage in (Stage.PREPARE, Stage.FILL, Stage.BLEED, Stage.DRAIN):
        assert "caution/water-and-electricity" in cautions[stage]
    assert "caution/leak-test" in cautions[Stage.WATCH]
    assert "caution/coolant-disposal" in cautions[Stage.DRAIN]


def test_every_caution_and_source_of_steps_and_maintenance_is_reported(snapshot: Snapshot) -> None:
    reported = fill_report(snapshot, question())
    named = {one.id for one in reported.cautions}
    assert {step.caution for step in reported.steps} - {None} <= named
    assert {one.source for one in (*reported.steps, *reported.maintenance)} == {one.id for one in reported.sources}


def test_only_what_stands_in_the_loop_is_spoken_of(snapshot: Snapshot) -> None:
    reported = fill_report(snapshot, question())
    ids = {one.id for one in (*reported.steps, *reported.maintenance)}
    assert "procedure/prepare-soft-clamps" in ids
    assert "procedure/prepare-tube-ends" not in ids
    assert "procedure/drain-no-water-in-oil" not in ids
    assert "maintenance/glycol-share" in ids
    assert "maintenance/slime" not in ids
    water = fill_report(snapshot, question() | {"fluid": "fluid/distilled-water"})
    assert {"maintenance/slime"} <= {one.id for one in water.maintenance}
    assert "maintenance/glycol-share" not in {one.id for one in water.maintenance}


def test_soft_pvc_clouds_and_shortens_the_interval_and_epdm_does_not(snapshot: Snapshot) -> None:
    answers = []
    for tube in (PVC, EPDM):
        asked = question()
        asked["runs"][0]["tube"] = tube
        answers.append(fill_report(snapshot, asked))
    clouding = {one.id: one.places for one in answers[0].maintenance}["maintenance/plasticiser-film"]
    assert clouding == ("tank.out to pump.in",)
    assert "maintenance/plasticiser-film" not in {one.id for one in answers[1].maintenance}
    assert [one.change_fluid_after_months for one in answers] == [12, 24]


def test_maintenance_that_is_due_first_comes_first(snapshot: Snapshot) -> None:
    due = [one.first_after_days for one in fill_report(snapshot, question()).maintenance]
    known = [days for days in due if days is not None]
    assert known == sorted(known)
    assert due[: len(known)] == known


def test_every_row_of_maintenance_says_when(snapshot: Snapshot) -> None:
    assert all(row.first_after_days or row.every_months for row in snapshot.active(Maintenance))
