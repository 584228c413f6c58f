"""Fans: fan laws and operating points in closed form.

Sources: fan laws as AMCA and ASHRAE handbooks and several public pages state them (flow with the speed, pressure with
its square, power with its cube, sound with 50 log10; ten percent more speed two decibels, two equal fans three).
Operating points: the balance of a curve and a square resistance has a closed form, which is worked out here.
"""

from __future__ import annotations

from math import sqrt

import pytest

from kb.formulas.heat.fan_curve import curve_of_points
from kb.formulas.heat.fan_laws import flow_at_speed, power_at_speed, pressure_at_speed, sound_at_speed, sounds_together
from kb.formulas.heat.operating_point import operating_point

HOUR = 3600


def test_the_fan_laws_at_a_quarter_more_speed() -> None:
    assert flow_at_speed(1.0, 1.25) == 1.25
    assert pressure_at_speed(1.0, 1.25) == 1.5625
    assert power_at_speed(1.0, 1.25) == pytest.approx(1.95312, abs=6e-6)


def test_sound_grows_by_fifty_logarithms_of_the_speed() -> None:
    assert sound_at_speed(20.0, 1.1) - 20 == pytest.approx(2, abs=0.1)
    assert sound_at_speed(20.0, 2.0) - 20 == pytest.approx(15.05, abs=0.005)
    assert sounds_together([30.0, 30.0]) - 30 == pytest.approx(3.01, abs=0.005)
    assert sounds_together([86.0, 80.0]) == pytest.approx(87, abs=0.05)


def test_a_straight_curve_meets_a_square_resistance_at_the_root_of_a_quadratic() -> None:
    pressure, free, resistance = 20.0, 0.03, 20000.0
    closed = (-pressure / free + sqrt((pressure / free) ** 2 + 4 * resistance * pressure)) / (2 * resistance)
    point = operating_point(curve_of_points([(0, pressure), (free * HOUR, 0)]), lambda flow: resistance * flow**2)
    assert point.flow_m3_per_s == pytest.approx(closed, rel=1e-8)
    assert point.flow_m3_per_s == pytest.approx(0.0190794, abs=0.6e-7)


def test_a_parabolic_curve_in_many_short_lines_meets_it_at_the_closed_form() -> None:
    pressure, free, resistance = 20.0, 0.03, 20000.0
    closed = sqrt(pressure / (pressure / free**2 + resistance))
    points = [(free * HOUR * n / 3000, pressure * (1 - (n / 3000) ** 2)) for n in range(3001)]
    point = operating_point(curve_of_points(points), lambda flow: resistance * flow**2)
    assert point.flow_m3_per_s == pytest.approx(closed, rel=1e-6)
    assert point.flow_m3_per_s == pytest.approx(0.0217643, abs=0.6e-7)
    assert point.pressure_pa == pytest.approx(9.47368, abs=6e-5)
