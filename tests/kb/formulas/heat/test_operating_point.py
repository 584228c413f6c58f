"""The balance of fan and resistance: found where there is one, refused where a step leaves none."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.formulas.heat.fan_curve import curve_of_points
from kb.formulas.heat.operating_point import NoBalanceError, operating_point

CURVE = curve_of_points([(0, 20), (50, 12), (108, 0)])


@given(st.floats(1e-3, 1e9), st.floats(1.0, 2.0))
def test_the_pressures_agree_for_any_resistance(scale: float, power: float) -> None:
    point = operating_point(CURVE, lambda flow: scale * flow**power)
    assert scale * point.flow_m3_per_s**power == pytest.approx(point.pressure_pa, abs=1e-7)
    assert 0 < point.flow_m3_per_s <= CURVE.free_flow_m3_per_s


def test_without_resistance_the_fan_blows_freely() -> None:
    assert operating_point(CURVE, lambda _: 0.0) == (CURVE.free_flow_m3_per_s, 0.0)


def test_a_step_across_the_curve_is_refused_and_named() -> None:
    step = 0.015

    def stepping(flow: float) -> float:
        return 1.0 if flow < step else 19.0

    with pytest.raises(NoBalanceError) as refused:
        operating_point(CURVE, stepping)
    assert refused.value.flow_m3_per_s == pytest.approx(step, rel=1e-6)
    assert abs(refused.value.residual_pa) > 1
    assert refused.value.fix
