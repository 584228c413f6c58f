"""What a loop holds: parts, tubes and fittings, and what is left out where nobody knows."""

from __future__ import annotations

import pytest
from fill_space_asking import fill, fill_report, question, resolved
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.formulas.heat.fin_core import tube_volume_ml
from kb.loops.fill.volumes import FITTINGS, loop_volume
from kb.store.snapshot import Snapshot
from schemas.tables.radiators import Radiator


def contents(snapshot: Snapshot, asked: dict) -> dict[str, tuple[float, float, float, str]]:
    volume = loop_volume(snapshot, resolved(snapshot, asked))
    return {one.place: (one.low, one.likely, one.high, one.how_known) for one in volume.contents}


def test_a_metre_of_ten_millimetre_bore_holds_what_a_cylinder_does(snapshot: Snapshot) -> None:
    asked = question()
    asked["runs"][0]["length_mm"] = 1000
    squares = sum(1.0 for x in range(-50, 50) for y in range(-50, 50) if (x + 0.5) ** 2 + (y + 0.5) ** 2 < 2500)
    by_counting_squares = squares * 0.1**2  # [mm2], and as many millilitres in a metre
    low, likely, high, how = contents(snapshot, asked)["tank.out to pump.in"]
    assert likely == pytest.approx(by_counting_squares, rel=2e-3)
    assert (low, high, how) == (likely, likely, "computed")


def test_a_run_without_length_counts_with_the_assumed_one_and_says_so(snapshot: Snapshot) -> None:
    asked = question()
    del asked["runs"][1]["length_mm"]
    low, likely, high, how = contents(snapshot, asked)["pump.out to cpu.in"]
    assert how == "assumed"
    assert low < likely < high
    assert likely == pytest.approx(78.54 * 0.3, rel=1e-3)
    assumed = {one.row for one in fill_report(snapshot, asked).assumed}
    assert {"assumption/run-length", "assumption/run-length-spread"} <= assumed
    assert "assumption/run-length" not in {one.row for one in fill_report(snapshot, question()).assumed}


def test_a_stated_volume_beats_the_row(snapshot: Snapshot) -> None:
    assert contents(snapshot, question())["gpu"][1:4:2] == (60.0, "row")
    assert contents(snapshot, question(gpu={"volume_ml": 45}))["gpu"] == (45.0, 45.0, 45.0, "stated")


def test_a_radiator_stated_thicker_holds_more_in_proportion(snapshot: Snapshot) -> None:
    row = contents(snapshot, question())["rad"]
    thicker = contents(snapshot, question(rad={"thickness_mm": 45}))["rad"]
    assert thicker[1] == pytest.approx(1.5 * row[1])
    assert (row[3], thicker[3]) == ("row", "computed")


PORTS = {"in": "port/g-1-4-loop", "out": "port/g-1-4-loop"}


def test_what_nobody_knows_is_named_and_left_out_of_the_sum_and_makes_it_unknown(snapshot: Snapshot) -> None:
    asked = question()
    asked["parts"]["other"] = {"kind": "block", "ports": PORTS}
    reported, without = fill_report(snapshot, asked), fill_report(snapshot, question())
    assert reported.unknown_volumes == ("other",)
    assert reported.total_ml == without.total_ml
    assert [one.volume_ml for one in reported.volumes if one.place == "other"] == [None]
    assert reported.verdict.value == "unknown"


def test_a_filter_is_taken_to_hold_little(snapshot: Snapshot) -> None:
    asked = question()
    asked["parts"]["sieve"] = {"kind": "filter", "ports": PORTS}
    reported, without = fill_report(snapshot, asked), fill_report(snapshot, question())
    assert reported.unknown_volumes == ()
    assert reported.total_ml.likely == pytest.approx(without.total_ml.likely + 10)
    assert reported.total_ml.low == without.total_ml.low
    assert "assumption/small-part-volume" in {one.row for one in reported.assumed}


def test_the_sum_is_the_sum_and_lies_in_its_band(snapshot: Snapshot) -> None:
    reported = fill_report(snapshot, question())
    for end in ("low", "likely", "high"):
        parts = sum(getattr(one.volume_ml, end) for one in reported.volumes if one.volume_ml is not None)
        assert getattr(reported.total_ml, end) == pytest.approx(parts)
    assert reported.total_ml.low < reported.total_ml.likely < reported.total_ml.high


def test_fittings_hold_little(snapshot: Snapshot) -> None:
    assert 0 < contents(snapshot, question())[FITTINGS][1] < 25


def test_every_radiator_of_the_table_holds_more_than_its_flat_tubes_do_by_geometry(snapshot: Snapshot) -> None:
    for row in snapshot.active(Radiator):
        assert 0.3 * row.volume_ml < tube_volume_ml(row) < row.volume_ml, row.id


def test_a_radiator_is_reported_with_the_share_of_its_tubes(snapshot: Snapshot) -> None:
    reported = next(one for one in fill_report(snapshot, question()).volumes if one.place == "rad")
    assert reported.tubes_ml is not None
    assert reported.volume_ml is not None
    assert reported.tubes_ml <= reported.volume_ml.low


@settings(max_examples=25, deadline=None)
@given(st.floats(0, 3000), st.floats(1, 3000))
def test_a_larger_loop_never_needs_less(snapshot: Snapshot, volume: float, more: float) -> None:
    mixes = []
    for one in (volume, volume + more):
        asked = question(rad={"volume_ml": one}) | {"fluid": "fluid/propylene-glycol-inhibited"}
        mixes.append(fill(snapshot, asked))
    small, large = (performance.mix.amounts for performance in mixes if performance.mix is not None)
    assert small is not None
    assert large is not None
    assert large.concentrate_ml > small.concentrate_ml
    assert large.water_ml > small.water_ml
    assert mixes[1].volume.likely > mixes[0].volume.likely
