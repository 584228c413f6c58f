"""Fan curves: at a speed, behind each other, side by side."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.formulas.heat.fan_curve import FanCurve, curve_at_speed, curve_of_points, in_parallel, in_series

HOUR = 3600
CURVE = curve_of_points([(0, 18), (40, 11), (70, 6), (90, 0)])
WEAK = curve_of_points([(0, 8), (50, 0)])


def test_a_curve_passes_through_its_points_and_straight_between_them() -> None:
    assert CURVE.pressure_at(40 / HOUR) == pytest.approx(11)
    assert CURVE.pressure_at(55 / HOUR) == pytest.approx(8.5)
    assert CURVE.flow_at(8.5) * HOUR == pytest.approx(55)
    assert CURVE.free_flow_m3_per_s * HOUR == pytest.approx(90)


def test_beyond_free_delivery_a_fan_hinders() -> None:
    assert CURVE.pressure_at(100 / HOUR) == pytest.approx(-3)


@given(st.floats(0.0, 18.0))
def test_flow_and_pressure_are_each_the_others_inverse(pressure: float) -> None:
    assert CURVE.pressure_at(CURVE.flow_at(pressure)) == pytest.approx(pressure, abs=1e-9)


def test_half_the_speed_gives_half_the_flow_and_a_quarter_of_the_pressure() -> None:
    half = curve_at_speed(CURVE, 0.5)
    assert half.pressure_at(20 / HOUR) == pytest.approx(11 / 4)


@given(st.floats(0.0, 90.0))
def test_push_and_pull_of_equal_fans_doubles_the_pressure(flow: float) -> None:
    assert in_series([CURVE, CURVE]).pressure_at(flow / HOUR) == pytest.approx(
        2 * CURVE.pressure_at(flow / HOUR), abs=1e-9
    )


def test_a_weak_fan_behind_a_strong_one_helps_slow_air_and_hinders_fast_air() -> None:
    both = in_series([CURVE, WEAK])
    assert both.pressure_at(30 / HOUR) > CURVE.pressure_at(30 / HOUR)
    assert both.pressure_at(80 / HOUR) < CURVE.pressure_at(80 / HOUR)


@given(st.floats(0.0, 18.0))
def test_equal_fans_side_by_side_double_the_flow(pressure: float) -> None:
    assert in_parallel([CURVE, CURVE]).flow_at(pressure) == pytest.approx(2 * CURVE.flow_at(pressure), abs=1e-12)


def test_a_strong_fan_pushes_air_back_through_a_weak_one() -> None:
    both = in_parallel([CURVE, WEAK])
    assert both.pressures_pa[0] < CURVE.pressures_pa[0]
    shut = both.pressures_pa[0]
    assert CURVE.flow_at(shut) + WEAK.flow_at(shut) == pytest.approx(0, abs=1e-12)
    assert both.free_flow_m3_per_s == pytest.approx(CURVE.free_flow_m3_per_s + WEAK.free_flow_m3_per_s)


@pytest.mark.parametrize(
    ("flows", "pressures", "words"),
    [
        ((0.0,), (10.0,), "two points"),
        ((0.1, 0.2), (10.0, 0.0), "first one at flow 0"),
        ((0.0, 0.2, 0.2), (10.0, 5.0, 0.0), "flows of a fan curve must rise"),
        ((0.0, 0.1, 0.2), (10.0, 11.0, 0.0), "pressures of a fan curve must fall"),
    ],
)
def test_what_is_no_fan_curve_is_refused(flows: tuple[float, ...], pressures: tuple[float, ...], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        FanCurve(flows, pressures)


@pytest.mark.parametrize("ratio", [0.0, -1.0])
def test_a_fan_that_stands_still_has_no_curve(ratio: float) -> None:
    with pytest.raises(ValueError, match="stands still"):
        curve_at_speed(CURVE, ratio)
