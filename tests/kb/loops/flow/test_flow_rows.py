"""From the tables to a loop: every pump moves a usual loop, ranges give an uncertainty range, thicker coolant flows
less.

The figures of flow here follow from archetypes by judgement; they hold the loop to what such loops are known to do.
"""

from __future__ import annotations

import pytest

from kb.formulas.coolant.coolant import Coolant, glycol_at, water_at
from kb.formulas.flow.flow_elements import Clogged, LocalLoss, MeasuredPart
from kb.formulas.flow.flow_path import Restriction
from kb.formulas.flow.pipe_network import Branch, replaced, solve_network
from kb.formulas.flow.tube_flow import reynolds_number, velocity_m_per_s
from kb.loops.flow.elements import (
    Passage,
    RunGeometry,
    block_element,
    pump_element,
    resistance_element,
    resistance_row,
    run_element,
)
from kb.store.snapshot import Snapshot
from schemas.tables.blocks import Block
from schemas.tables.pumps import Pump
from schemas.tables.resistances import Direction, Resistance

WATER = water_at(35.0)
MIDDLE = "pump/medium-12-v-high-flow"


def fitting(snapshot: Snapshot, angle_deg: float) -> Passage:
    row = resistance_row(snapshot, "family/fitting-soft-compression", angle_deg)
    assert row is not None
    return Passage(row, 9.0)


def run(
    snapshot: Snapshot, bore_mm: float, coolant: Coolant, restriction: Restriction, bends_deg: float = 90.0
) -> Branch:
    ends = (fitting(snapshot, 0.0),), (fitting(snapshot, 90.0),)
    geometry = RunGeometry(ends[0], bore_mm, 400.0, 0.0015, bends_deg, 4.0, ends[1])
    return Branch("", "", "", run_element(geometry, coolant, restriction))


def loop(
    snapshot: Snapshot,
    pump_id: str = MIDDLE,
    coolant: Coolant = WATER,
    bore_mm: float = 10.0,
    restriction: Restriction = Restriction.USUAL,
    speed_percent: float = 100.0,
) -> tuple[Branch, ...]:
    """Return pump, CPU block, GPU block and radiator with 2 m of tube between them and the reservoir."""
    radiator = resistance_row(snapshot, "family/radiator", None)
    reservoir = resistance_row(snapshot, "family/reservoir-tube", None)
    assert radiator is not None
    assert reservoir is not None
    blocks = [snapshot.get(Block, f"block/{name}") for name in ("cpu-micro-fin", "gpu-full-cover")]
    parts = [
        ("pump", pump_element(snapshot, snapshot.get(Pump, pump_id), speed_percent)),
        *((block.id, block_element(block, coolant, restriction)) for block in blocks),
        ("radiator", resistance_element(radiator, None, coolant, restriction)),
        ("reservoir", resistance_element(reservoir, 9.0, coolant, restriction)),
    ]
    size = len(parts)
    branches = [Branch(name, f"{at} in", f"{at} out", one) for at, (name, one) in enumerate(parts)]
    tube = run(snapshot, bore_mm, coolant, restriction).element
    branches += [Branch(f"run {at}", f"{at} out", f"{(at + 1) % size} in", tube) for at in range(size)]
    return tuple(branches)


def flow_of(branches: tuple[Branch, ...]) -> float:
    return solve_network(branches, "4 out").flows_l_min["pump"]


def test_a_middle_pump_moves_some_litres_a_minute(snapshot: Snapshot) -> None:
    flow = flow_of(loop(snapshot))
    assert 3.0 < flow < 7.0
    assert 0.5 < velocity_m_per_s(flow, 10.0) < 1.5
    assert reynolds_number(flow, 10.0, WATER) > 4000


def test_every_pump_of_the_tables_moves_a_usual_loop(snapshot: Snapshot) -> None:
    flows = [flow_of(loop(snapshot, pump_id=pump.id)) for pump in snapshot.active(Pump)]
    assert min(flows) > 1.0
    assert max(flows) < 15.0


def test_ranges_give_a_band_around_the_usual_flow(snapshot: Snapshot) -> None:
    open_parts, usual, tight = (flow_of(loop(snapshot, restriction=one)) for one in Restriction)
    assert tight < usual < open_parts


def test_glycol_takes_some_flow(snapshot: Snapshot) -> None:
    quarter = glycol_at("propylene-glycol", 25.9, 35.0)  # 25 % by volume
    more = glycol_at("propylene-glycol", 41.0, 35.0)  # 40 % by volume
    water, thin, thick = (flow_of(loop(snapshot, coolant=one)) for one in (WATER, quarter, more))
    assert thick < thin < water
    assert thick > 0.75 * water


def test_a_narrower_tube_takes_flow_and_a_wider_one_hardly_gives_any(snapshot: Snapshot) -> None:
    narrow, usual, wide = (flow_of(loop(snapshot, bore_mm=bore)) for bore in (6.0, 10.0, 13.0))
    assert narrow < 0.9 * usual
    assert usual < wide < 1.1 * usual


def test_half_the_speed_moves_a_little_less_than_half(snapshot: Snapshot) -> None:
    full, half = flow_of(loop(snapshot)), flow_of(loop(snapshot, speed_percent=50.0))
    assert 0.4 < half / full < 0.51


def test_a_clogged_part_takes_flow(snapshot: Snapshot) -> None:
    clean = loop(snapshot)
    assert flow_of(replaced(clean, "radiator", lambda one: Clogged(one, 5.0))) < 0.9 * flow_of(clean)


def test_bends_cost_pressure(snapshot: Snapshot) -> None:
    straight, bent = (run(snapshot, 10.0, WATER, Restriction.USUAL, bends) for bends in (0.0, 180.0))
    assert straight.element.drop_kpa(4.0) < bent.element.drop_kpa(4.0)


@pytest.mark.parametrize(
    ("family", "angle", "row"),
    [
        ("family/fitting-soft-compression", 0.0, "resistance/fitting-straight"),
        ("family/fitting-soft-compression", 90.0, "resistance/fitting-90"),
        ("family/fitting-elbow", 50.0, "resistance/fitting-45"),
        ("family/fitting-rotary", 90.0, "resistance/rotary-90"),
        ("family/fitting-quick-coupling", None, "resistance/quick-coupling-half"),
        ("family/reservoir-tube", None, "resistance/reservoir"),
        ("family/block-cpu", None, "resistance/block"),
    ],
)
def test_the_nearest_family_and_angle_speak(snapshot: Snapshot, family: str, angle: float | None, row: str) -> None:
    found = resistance_row(snapshot, family, angle)
    assert found is not None
    assert found.id == row


def test_a_side_branch_takes_more_than_the_way_through(snapshot: Snapshot) -> None:
    through, branch = (resistance_row(snapshot, "family/fitting-splitter", None, way) for way in Direction)
    assert isinstance(through, Resistance)
    assert isinstance(branch, Resistance)
    drops = [resistance_element(row, 9.0, WATER, Restriction.USUAL).drop_kpa(4.0) for row in (through, branch)]
    assert drops[0] < drops[1]


def test_a_kind_of_part_without_rows_is_not_guessed(snapshot: Snapshot) -> None:
    assert resistance_row(snapshot, "family/o-ring", None) is None


def test_coefficients_and_points_become_their_own_elements(snapshot: Snapshot) -> None:
    elbow, radiator = (resistance_row(snapshot, family, 90.0) for family in ("family/fitting", "family/radiator"))
    assert elbow is not None
    assert radiator is not None
    assert isinstance(resistance_element(elbow, None, WATER, Restriction.USUAL), LocalLoss)
    assert isinstance(resistance_element(radiator, None, WATER, Restriction.USUAL), MeasuredPart)


def test_a_block_takes_what_its_row_says_at_its_reference(snapshot: Snapshot) -> None:
    block = snapshot.get(Block, "block/cpu-micro-fin")
    element = block_element(block, water_at(25.0), Restriction.USUAL)
    assert element.drop_kpa(block.reference_flow_l_min) == pytest.approx(block.drop_kpa)
