"""Stacking by the root of the sum of squares, against the worst case it must stay within."""

from __future__ import annotations

import math
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.formulas.fit.tolerance_stack import stack_root_sum_square

BOUNDED = settings(max_examples=100, deadline=None, derandomize=True, database=None)
deviation = st.floats(0.0, 1.0)


class Side(NamedTuple):
    nominal: float
    low: float
    high: float


def side(nominal: float, minus: float, plus: float) -> Side:
    return Side(nominal, nominal - minus, nominal + plus)


@given(first=deviation, second=deviation)
@BOUNDED
def test_two_deviations_add_like_the_sides_of_a_right_angle(first: float, second: float) -> None:
    stack = stack_root_sum_square(lambda a, b: a - b, [side(10, first, first), side(6, second, second)])
    assert stack.high - 4 == pytest.approx(math.hypot(first, second), abs=1e-9)
    assert 4 - stack.low == pytest.approx(math.hypot(first, second), abs=1e-9)


@given(first=deviation, second=deviation)
@BOUNDED
def test_stack_stays_within_the_worst_case(first: float, second: float) -> None:
    stack = stack_root_sum_square(lambda a, b: a - b, [side(10, first, first), side(6, second, second)])
    assert 4 - (first + second) - 1e-9 <= stack.low <= stack.nominal <= stack.high <= 4 + first + second + 1e-9


def test_one_sided_deviation_counts_on_its_side_only() -> None:
    assert stack_root_sum_square(lambda a: a, [side(10, 0.0, 0.3)]) == pytest.approx((10, 10, 10.3))


def test_no_deviation_leaves_the_nominal_value() -> None:
    assert stack_root_sum_square(lambda a, b: a * b, [side(2, 0, 0), side(3, 0, 0)]) == (6, 6, 6)
