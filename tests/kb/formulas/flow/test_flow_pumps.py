"""What pump curves promise at any flow and speed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.formulas.flow.pump_curve import (
    CurveError,
    PumpCurve,
    alike_in_parallel_head_kpa,
    head_kpa,
    pump_curve,
    series_head_kpa,
)

CURVE: PumpCurve = pump_curve([(0, 38), (4, 36), (8, 32), (12, 26), (16, 17), (20, 6), (22, 0)], 5.0, 1.5)
flow = st.floats(-30, 60)
speed = st.floats(0, 1)


@given(flow, flow, speed)
def test_head_never_rises_with_flow(one: float, other: float, at: float) -> None:
    """Forwards; pushed backwards a pump resists the more, the faster it is pushed."""
    low, high = sorted((one, other))
    assert head_kpa(CURVE, low, at) >= head_kpa(CURVE, high, at) - 1e-9


@given(flow, speed, speed)
def test_head_never_falls_with_speed(at: float, one: float, other: float) -> None:
    slow, fast = sorted((one, other))
    assert head_kpa(CURVE, at, slow) <= head_kpa(CURVE, at, fast) + 1e-9


@given(st.floats(0, 22), st.floats(0.05, 1))
def test_flow_goes_as_speed_and_head_as_its_square(at: float, share: float) -> None:
    assert head_kpa(CURVE, share * at, share) == pytest.approx(share**2 * head_kpa(CURVE, at, 1.0), abs=1e-9)


@pytest.mark.parametrize(("at", "head"), [(0.0, 38.0), (12.0, 26.0), (22.0, 0.0), (2.0, 37.0), (21.0, 3.0)])
def test_the_curve_runs_through_its_points_and_straight_between(at: float, head: float) -> None:
    assert head_kpa(CURVE, at, 1.0) == pytest.approx(head)


@pytest.mark.parametrize("edge", [0.0, 22.0])
def test_the_curve_goes_on_without_a_step(edge: float) -> None:
    assert head_kpa(CURVE, edge - 1e-7, 1.0) == pytest.approx(head_kpa(CURVE, edge + 1e-7, 1.0), abs=1e-5)


def test_a_dead_pump_takes_what_the_table_says() -> None:
    assert head_kpa(CURVE, 5.0, 0.0) == pytest.approx(-1.5)
    assert head_kpa(CURVE, -5.0, 0.0) == pytest.approx(1.5)


@given(flow, st.integers(1, 4))
def test_pumps_in_series_add_their_heads(at: float, count: int) -> None:
    assert series_head_kpa([CURVE] * count, at, 1.0) == pytest.approx(count * head_kpa(CURVE, at, 1.0))


@given(flow, st.integers(1, 4))
def test_pumps_side_by_side_share_the_flow(at: float, count: int) -> None:
    assert alike_in_parallel_head_kpa(CURVE, count, count * at, 1.0) == pytest.approx(head_kpa(CURVE, at, 1.0))


@pytest.mark.parametrize(
    "points",
    [
        [],
        [(0, 30)],
        [(1, 30), (5, 0)],
        [(0, 30), (5, 10)],
        [(0, 30), (2, 31), (5, 0)],
        [(0, 30), (2, 30), (5, 0)],
        [(0, 30), (0, 20), (5, 0)],
    ],
)
def test_points_that_are_no_falling_curve_are_refused(points: list[tuple[float, float]]) -> None:
    with pytest.raises(CurveError):
        pump_curve(points, 5.0, 1.5)


def test_points_may_come_in_any_order() -> None:
    points = [(0.0, 30.0), (2.0, 20.0), (5.0, 0.0)]
    assert pump_curve(points[::-1], 5.0, 1.5) == pump_curve(points, 5.0, 1.5)
