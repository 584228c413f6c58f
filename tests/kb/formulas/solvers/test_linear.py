"""Equations: solved where they decide every unknown, refused where they do not."""

from __future__ import annotations

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.formulas.solvers.linear import NoSolutionError, solve, squared

NUMBERS = st.floats(-9.0, 9.0)


@given(
    st.integers(1, 6).flatmap(
        lambda size: st.lists(st.lists(NUMBERS, min_size=size, max_size=size), min_size=size, max_size=size)
    ),
    st.data(),
)
def test_the_unknowns_fulfil_every_equation(factors: list[list[float]], data: st.DataObject) -> None:
    size = len(factors)
    for at, row in enumerate(factors):
        row[at] = 10.0 * size  # no row can follow from the others
    wanted = data.draw(st.lists(NUMBERS, min_size=size, max_size=size))
    rows = [[*row, sum(factor * value for factor, value in zip(row, wanted, strict=True))] for row in factors]
    assert solve(numpy.array(rows)) == pytest.approx(wanted, abs=1e-9)


def test_no_unknowns_need_no_equations() -> None:
    assert solve(numpy.zeros((0, 1))) == []


def test_equations_that_say_the_same_twice_are_refused() -> None:
    with pytest.raises(NoSolutionError):
        solve(numpy.array([[1.0, 2.0, 3.0], [2.0, 4.0, 6.0]]))


def test_an_array_times_itself_is_the_same_in_pieces() -> None:
    chance = numpy.random.default_rng(4)
    factors, weights = chance.random((90, 300)), chance.random(300)
    assert squared(factors, weights) == pytest.approx((factors * weights) @ factors.T)
