"""Equations solved in an order of their unknowns: right for every arrangement, however many of them go round."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.formulas.solvers.linear import NoSolutionError
from kb.formulas.solvers.linear_ordered import order_of, solve_ordered

Rows = list[list[tuple[int, float]]]


def mixed(size: int, most_others: int, seed: int) -> Rows:
    """Unknowns that mix from others, always with something of their own."""
    chance = Random(seed)
    rows: Rows = []
    for one in range(size):
        others = [other for other in range(size) if other != one]
        chosen = chance.sample(others, min(chance.randint(0, most_others), len(others)))
        rows.append([(other, 0.98 / len(chosen)) for other in chosen])
    return rows


@settings(max_examples=60, deadline=None)
@given(size=st.integers(1, 60), most_others=st.integers(1, 6), seed=st.integers(0, 10**6))
def test_every_unknown_follows_from_the_others_whatever_goes_round(size: int, most_others: int, seed: int) -> None:
    terms = mixed(size, most_others, seed)
    constants = [Random(seed + one).uniform(-5, 40) for one in range(size)]
    order = order_of([[other for other, _ in row] for row in terms])
    assert sorted((*order.following, *order.loose)) == list(range(size))
    found = solve_ordered(order, terms, constants)
    for one, row in enumerate(terms):
        follows = constants[one] + sum(factor * found[other] for other, factor in row)
        assert found[one] == pytest.approx(follows, rel=1e-10, abs=1e-9)


def test_an_unknown_comes_behind_all_it_hangs_on() -> None:
    terms = mixed(200, 3, 7)
    order = order_of([[other for other, _ in row] for row in terms])
    known = set(order.loose)
    for one in order.following:
        assert {other for other, _ in terms[one]} <= known
        known.add(one)


def test_one_unknown_of_each_ring_is_taken_as_known() -> None:
    rings = [[at - at % 5 + (at + 1) % 5] for at in range(100)]
    assert len(order_of(rings).loose) == 20


@pytest.mark.parametrize("rings", [1, 3, 12], ids=["one circle", "a few", "many"])
def test_what_goes_round_undiminished_is_refused(rings: int) -> None:
    terms: Rows = [[(at ^ 1, 1.0)] for at in range(2 * rings)]
    with pytest.raises(NoSolutionError):
        solve_ordered(order_of([[other for other, _ in row] for row in terms]), terms, [1.0] * (2 * rings))
