"""Louvered fins: Chang and Wang 1997 (j), Chang et al. 2000 with the amendment of 2006 (f).

No paper was open and no check point of the papers was found. The printed digits are those of a reference set computed
from the equations as several public programs carry them; the equations are written out here a second time, in one piece
and in SI units, so that a wrong exponent or a mixed-up length in our factored form shows.
"""

from __future__ import annotations

from math import exp, log

import pytest

from kb.formulas.heat.louver_fin import BRIDGE_FROM, BRIDGE_TO, LouverFin, colburn_j, fanning_f, louver_factors

GAP, HEIGHT, THICKNESS = 1.5, 8.0, 0.08
DIAMETER = 4 * HEIGHT * (GAP - THICKNESS) / (2 * (HEIGHT + GAP - 2 * THICKNESS))  # printed as 2.4325
FIN = LouverFin(1.2, 6.5, 28.0, GAP, HEIGHT, THICKNESS, 16.0, 16.0, 2.0, DIAMETER)
OTHER = LouverFin(1.1, 6.2, 27.0, 25.4 / 22, 7.3, 0.06, 33.0, 32.0, 2.0, 1.9)


def j_written_out(fin: LouverFin, re: float) -> float:
    lp, ll, theta, fp, fl, df, _, td, dm, _ = fin
    tp = fl + dm
    return (
        re**-0.49 * (theta / 90) ** 0.27 * (fp / lp) ** -0.14 * (fl / lp) ** -0.29 * (td / lp) ** -0.23
        * (ll / lp) ** 0.68 * (tp / lp) ** -0.28 * (df / lp) ** -0.05
    )  # fmt: skip


def slow_written_out(fin: LouverFin, re: float) -> float:
    lp, ll, theta, fp, fl, df, fd, _, dm, dh = fin
    first = 14.39 * re ** (-0.805 * fp / fl) * log(1 + fp / lp) ** 3.04
    second = log((df / fp) ** 0.48 + 0.9) ** -1.435 * (dh / lp) ** -3.01 * log(0.5 * re) ** -3.01
    return first * second * (fp / ll) ** -0.308 * (fd / ll) ** -0.308 * exp(-0.1167 * (fl + dm) / dm) * theta**0.35


def fast_written_out(fin: LouverFin, re: float) -> float:
    lp, ll, theta, fp, fl, df, _, _, dm, dh = fin
    tp = fl + dm
    first = 4.97 * re ** (0.6049 - 1.064 / theta**0.2) * log((df / fp) ** 0.5 + 0.9) ** -0.527
    second = (dh / lp * log(0.3 * re)) ** -2.966 * (fp / ll) ** (-0.7931 * tp / (tp - dm))
    return first * second * (tp / dm) ** -0.0446 * log(1.2 + (lp / fp) ** 1.4) ** -3.553 * theta**-0.477


@pytest.mark.parametrize(("re", "printed"), [(200.0, 0.0334394), (500.0, 0.0213436)])
def test_heat_transfer_at_the_check_points(re: float, printed: float) -> None:
    assert colburn_j(FIN, re) == pytest.approx(printed, abs=0.6e-7)


def test_friction_at_the_check_points() -> None:
    assert pytest.approx(2.4325, abs=5e-5) == DIAMETER
    assert louver_factors(FIN).fast_branch(200.0) == pytest.approx(0.137826, abs=0.6e-6)
    assert fanning_f(FIN, 500.0) == pytest.approx(0.0798856, abs=0.6e-7)


@pytest.mark.parametrize("fin", [FIN, OTHER])
@pytest.mark.parametrize("re", [80.0, 129.0, 231.0, 700.0, 2900.0])
def test_the_factored_form_is_the_written_out_form(fin: LouverFin, re: float) -> None:
    factors = louver_factors(fin)
    assert colburn_j(fin, re) == pytest.approx(j_written_out(fin, re), rel=1e-12)
    assert factors.slow_branch(re) == pytest.approx(slow_written_out(fin, re), rel=1e-12)
    assert factors.fast_branch(re) == pytest.approx(fast_written_out(fin, re), rel=1e-12)


def test_the_form_of_2000_steps_at_150_and_the_amendment_does_not() -> None:
    factors = louver_factors(FIN)
    assert factors.slow_branch(150.0) == pytest.approx(0.196, abs=0.0005)
    assert factors.fast_branch(150.0) == pytest.approx(0.168, abs=0.0005)
    for pair in (BRIDGE_FROM, BRIDGE_TO, factors.creeping_below):
        below, above = fanning_f(FIN, pair * (1 - 1e-9)), fanning_f(FIN, pair * (1 + 1e-9))
        assert below == pytest.approx(above, rel=1e-7)


@pytest.mark.parametrize("fin", [FIN, OTHER])
def test_the_continuation_below_leaves_the_branch_slowly(fin: LouverFin) -> None:
    assert fanning_f(fin, 50.0) == pytest.approx(slow_written_out(fin, 50.0), rel=0.15)
    assert fanning_f(fin, 10.0) == pytest.approx(2 * fanning_f(fin, 20.0), rel=1e-12)


def test_the_angle_is_read_in_degrees_by_friction_and_as_share_of_a_right_angle_by_heat() -> None:
    steeper = FIN._replace(louver_angle_deg=35.0)
    assert colburn_j(steeper, 500.0) / colburn_j(FIN, 500.0) == pytest.approx((35 / 28) ** 0.27, rel=1e-12)
    assert fanning_f(steeper, 500.0) == pytest.approx(fast_written_out(steeper, 500.0), rel=1e-12)
