"""A soft tube on a stem and under a collar: what the formulas promise for every size."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.formulas.fit.soft_tube import (
    barb_interference_percent,
    clamping_squeeze_percent,
    od_on_barb_mm,
    wall_on_barb_mm,
    wall_thinning_percent,
)

BOUNDED = settings(max_examples=100, deadline=None, derandomize=True, database=None)
bore = st.floats(4.0, 14.0)
wall = st.floats(0.8, 4.0)
stretch = st.floats(0.0, 0.6)


@given(bore=bore, wall=wall, stretch=stretch)
@BOUNDED
def test_area_of_the_wall_stays_when_the_tube_is_stretched(bore: float, wall: float, stretch: float) -> None:
    barb = bore * (1 + stretch)
    outside = od_on_barb_mm(bore, bore + 2 * wall, barb)
    assert outside**2 - barb**2 == pytest.approx((bore + 2 * wall) ** 2 - bore**2)


@given(bore=bore, wall=wall, stretch=stretch)
@BOUNDED
def test_stretched_wall_is_never_thicker(bore: float, wall: float, stretch: float) -> None:
    barb = bore * (1 + stretch)
    assert wall_on_barb_mm(bore, bore + 2 * wall, barb) <= wall + 1e-12
    assert wall_thinning_percent(bore, bore + 2 * wall, barb) >= -1e-9


@given(bore=bore, wall=wall, short=st.floats(0.0, 2.0))
@BOUNDED
def test_barb_smaller_than_the_bore_leaves_the_tube_as_it_is(bore: float, wall: float, short: float) -> None:
    assert od_on_barb_mm(bore, bore + 2 * wall, bore - short) == pytest.approx(bore + 2 * wall)


@given(bore=bore, wall=wall, share=st.floats(-0.5, 0.9))
@BOUNDED
def test_collar_of_a_chosen_squeeze_gives_that_squeeze(bore: float, wall: float, share: float) -> None:
    barb = bore * 1.05
    collar = barb + 2 * (1 - share) * wall_on_barb_mm(bore, bore + 2 * wall, barb)
    assert clamping_squeeze_percent(bore, bore + 2 * wall, barb, collar) == pytest.approx(100 * share, abs=1e-6)


@given(bore=bore, wall=wall, more=st.floats(0.001, 1.0))
@BOUNDED
def test_thicker_tube_is_squeezed_more(bore: float, wall: float, more: float) -> None:
    collar, outside = bore + 2 * wall, bore + 2 * wall
    thin = clamping_squeeze_percent(bore, outside, bore, collar)
    assert clamping_squeeze_percent(bore, outside + more, bore, collar) > thin


@pytest.mark.parametrize("outside", [10.0, 9.0])
def test_wall_that_tolerances_take_away_is_no_error(outside: float) -> None:
    squeeze = clamping_squeeze_percent(10.0, outside, 9.0, 12.0)
    assert math.isfinite(squeeze)
    assert squeeze < 0


def test_barb_of_the_bores_own_size_does_not_stretch() -> None:
    assert barb_interference_percent(10.0, 10.0) == 0
