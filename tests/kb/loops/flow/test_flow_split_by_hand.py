"""How two blocks between tees share the flow, held against a calculation by hand that uses no formula of ours.

A regression against an independent calculation, not against a measurement. The loop: two blocks side by side between
two T-pieces, soft tube 10/16 with compression fittings, distilled water. The whole flow, 6.4454 l/min, is taken as
given; only how it divides is worked out again.

Water at 34.8 degC: density 994.1 kg/m3, viscosity 0.7223 mPa s; at 25 degC: 997.05 kg/m3, 0.890 mPa s.
Both ways begin in the middle of one T-piece and end in the middle of the other. Each of them takes

    T-piece, twice   straight end b: half of the way straight through, K = 0.6 / 2 = 0.3 and K1 = 200 / 2 = 100;
                     side end c: what the way round takes beyond that half, K = 1.8 - 0.3 = 1.5, K1 = 800 - 100 = 700;
                     on the bore of 11 mm
    fittings, four   K = 0.1 and K1 = 200 on the bore of 8.2 mm
    steps            8.2 to 10 mm: K = (1 - (8.2/10)^2)^2 = 0.1073; 10 to 8.2 mm: K = 0.5 (1 - (8.2/10)^2) = 0.1638;
                     both on 8.2 mm, twice each
    bends, two       14 fT for 90 degrees at a radius of 4 bores (Crane TP-410, table of bends); fT of clean steel at
                     10 mm, roughness 0.0457 mm: 0.25 / log10(0.00457 / 3.7)^2 = 0.0296; K = 0.414 on 10 mm
    tube             Haaland's friction factor at a roughness of 0.0015 mm; 400 + 250 mm or 300 + 350 mm
    block            its drop at 4 l/min of water at 25 degC, times (flow / 4)^n, times the ratio of densities to the
                     power n - 1 and that of viscosities to the power 2 - n

and the flow divides so that both take the same. By hand: 3.10 and 3.34 l/min. If side ends took no more than straight
ones it would be 3.04 and 3.40.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from flow_asking import block, flow, likely, radiator, resolved, tank, two_ports

from kb.loops.flow.elements import resistance_row
from kb.loops.flow.parts import legs
from kb.loops.loop import LoopPart
from kb.store.snapshot import Snapshot
from schemas.tables.fittings import Fitting
from schemas.tables.resistances import Direction

TEE = "fitting/tee-g-1-4-female"

WATER, REFERENCE = (994.1, 0.7223), (997.05, 0.890)  # kg/m3 and mPa s
WHOLE_L_MIN = 6.4454
SIDE, STRAIGHT = (1.5, 700.0), (0.3, 100.0)
FITTING_MM, TUBE_MM, TEE_MM = 8.2, 10.0, 11.0
CPU, GPU = (9.0, 1.75), (7.0, 1.8)  # drop at 4 l/min [kPa] and exponent


def speed_and_reynolds(flow_l_min: float, bore_mm: float) -> tuple[float, float]:
    speed = flow_l_min / 60_000 / (math.pi / 4 * (bore_mm / 1000) ** 2)
    return speed, WATER[0] * speed * bore_mm / WATER[1]


def lost(flow_l_min: float, bore_mm: float, k: float, k1: float = 0.0) -> float:
    speed, reynolds = speed_and_reynolds(flow_l_min, bore_mm)
    return (k + k1 / reynolds) * WATER[0] * speed**2 / 2000


def tube(flow_l_min: float, length_mm: float) -> float:
    reynolds = speed_and_reynolds(flow_l_min, TUBE_MM)[1]
    friction = (-1.8 * math.log10((0.0015 / TUBE_MM / 3.7) ** 1.11 + 6.9 / reynolds)) ** -2
    return lost(flow_l_min, TUBE_MM, friction * length_mm / TUBE_MM)


def branch(flow_l_min: float, tee: tuple[float, float], part: tuple[float, float]) -> float:
    """Return what one way takes [kPa] between the middles of the T-pieces."""
    drop, exponent = part
    shift = (WATER[0] / REFERENCE[0]) ** (exponent - 1) * (WATER[1] / REFERENCE[1]) ** (2 - exponent)
    wide = (FITTING_MM / TUBE_MM) ** 2
    return (
        2 * lost(flow_l_min, TEE_MM, *tee)
        + lost(flow_l_min, FITTING_MM, 4 * 0.1 + 2 * ((1 - wide) ** 2 + 0.5 * (1 - wide)), 4 * 200.0)
        + lost(flow_l_min, TUBE_MM, 2 * 14 * 0.25 / math.log10(0.04572 / TUBE_MM / 3.7) ** 2)
        + tube(flow_l_min, 650.0)
        + drop * shift * (flow_l_min / 4) ** exponent
    )


def share_by_hand(gpu_tee: tuple[float, float]) -> float:
    """Return the flow through the first block [l/min], by halving."""
    low, high = 0.1, WHOLE_L_MIN - 0.1
    for _ in range(60):
        middle = (low + high) / 2
        more = branch(middle, STRAIGHT, CPU) > branch(WHOLE_L_MIN - middle, gpu_tee, GPU)
        low, high = (low, middle) if more else (middle, high)
    return low


def two_blocks() -> dict[str, Any]:
    fitting = ["fitting/compression-10x16-g-1-4"]

    def run(start: str, end: str, length_mm: float = 300, bends_deg: float = 90) -> dict[str, Any]:
        way = {"from": start, "to": end, "length_mm": length_mm, "bends_deg": bends_deg}
        return {**way, "tube": "tube/soft-10x16", "fittings_from": fitting, "fittings_to": fitting}

    tees = {name: {"kind": "fitting", "is": TEE} for name in ("split", "join")}
    return {
        "fluid": "fluid/distilled-water",
        "parts": {
            "res": tank(),
            "pump": {"kind": "pump", "is": "pump/strong-12-v-high-head", "speed_percent": 80, "ports": two_ports()},
            **{**tees, "cpu": block("cpu-micro-fin"), "gpu": block()},
            **{"rad": radiator("360x30-low"), "top": radiator("360x45-medium")},
        },
        "runs": [
            *(run("res.out", "pump.in", 100, 0), run("pump.out", "split.a", 200, 0)),
            *(run("split.b", "cpu.in", 400), run("cpu.out", "join.b", 250)),
            *(run("split.c", "gpu.in"), run("gpu.out", "join.c", 350)),
            *(run("join.a", "rad.in"), run("rad.out", "top.in", 500, 180), run("top.out", "res.in")),
        ],
    }


def test_flow_divides_between_tees_as_worked_out_by_hand(snapshot: Snapshot) -> None:
    performance = flow(snapshot, two_blocks(), 34.8)
    assert likely(performance, "pump") == pytest.approx(WHOLE_L_MIN, rel=2e-4)
    by_hand = share_by_hand(SIDE)
    assert (by_hand, WHOLE_L_MIN - by_hand) == (pytest.approx(3.10, abs=5e-3), pytest.approx(3.34, abs=5e-3))
    assert likely(performance, "cpu") == pytest.approx(by_hand, rel=3e-3)
    assert likely(performance, "gpu") == pytest.approx(WHOLE_L_MIN - by_hand, rel=3e-3)
    assert share_by_hand(STRAIGHT) < by_hand * 0.99  # so the tolerance tells side ends from straight ones


def test_every_side_end_of_every_splitter_takes_what_a_way_round_takes(snapshot: Snapshot) -> None:
    """All splitters of the tables: a side end and the straight one together take the nearest row for branches."""
    splitters = [one for one in snapshot.active(Fitting) if "family/fitting-splitter" in families(snapshot, one)]
    assert "fitting/tee-g-1-4-female" in {one.id for one in splitters}
    for one in splitters:
        row = resistance_row(snapshot, one.family_id, None, Direction.BRANCH)
        assert row is not None
        by_port = legs(snapshot, tee(snapshot, one.id))
        sides = sorted(by_port)[2:]
        assert sides, one.id
        for side in sides:
            bore_mm = min((bore.mm for bore in by_port[side].bores), default=row.bore_mm)
            round_it = by_port["a"].path.squares[1] + by_port[side].path.squares[1]
            assert round_it * bore_mm**4 == pytest.approx(row.loss_coefficient), one.id
            assert row.id in {fact.row_id for fact in by_port[side].facts}, one.id


def test_both_outlets_of_a_y_piece_take_the_same_and_those_of_a_t_piece_do_not(snapshot: Snapshot) -> None:
    forks, tees = legs(snapshot, tee(snapshot, "fitting/y-g-1-4-female")), legs(snapshot, tee(snapshot, TEE))
    assert forks["c"].path == forks["b"].path
    assert tees["c"].path.squares[1] == pytest.approx(5 * tees["b"].path.squares[1])  # 1.5 over 0.3


def families(snapshot: Snapshot, row: Fitting) -> tuple[str, ...]:
    return snapshot.families(row.family_id)


def tee(snapshot: Snapshot, fitting: str) -> LoopPart:
    asked = {"parts": {"tee": {"kind": "fitting", "is": fitting}}, "fluid": "fluid/distilled-water"}
    return resolved(snapshot, asked).parts["tee"]
