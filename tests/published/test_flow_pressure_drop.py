"""Worked examples of whole pipes: Crane TP-410, chapter 7, and two straight tubes of a loop.

Carriers: the worked examples in the public documentation of package fluids, which quotes statement and printed answer
of each; the two tubes were computed with Colebrook's factor and CoolProp 8.0.0, and with Haaland's beside it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import pytest

from kb.formulas.coolant.coolant import Coolant, water_at
from kb.formulas.flow.flow_elements import Chain, LocalLoss, TubeLength
from kb.formulas.flow.minor_losses import contraction_coefficient
from kb.formulas.flow.pipe_network import Branch, solve_network
from kb.formulas.flow.pump_curve import PumpCurve, head_kpa, hydraulic_power_w, pump_curve
from kb.formulas.flow.tube_flow import column_pressure_kpa, reynolds_number, velocity_m_per_s
from kb.formulas.flow.tube_friction import darcy_friction_factor, tube_drop_kpa

FOOT_MM = 304.8
INCH_MM = 25.4
GALLON_L = 3.785411784
POUND_PER_FOOT3 = 16.018463
HORSEPOWER_W = 745.69987
STEEL_MM = 0.0018 * INCH_MM


@dataclass(frozen=True)
class Tank:
    """A column of water that drives the flow."""

    head: float

    def drop_kpa(self, flow_l_min: float) -> float:
        """Return the head with a minus, whatever the flow."""
        return -self.head + 0.0 * flow_l_min


def test_smooth_pipe_of_example_7_1() -> None:
    """TP-410M 7-1: 30 degC, 200 l/min, 52.5 mm: Re 100600, f 0.0179; the book rounds viscosity to three digits."""
    reynolds = reynolds_number(200.0, 52.5, water_at(30.0))
    assert reynolds == pytest.approx(100600, rel=0.005)
    assert darcy_friction_factor(reynolds, 0.0, 52.5) == pytest.approx(0.0179, abs=0.0001)


def test_flow_from_a_reservoir_of_example_7_19() -> None:
    """TP-410 7-19: a head of 11.5 ft drives 137 gal/min through a bend, a valve, a contraction and two pipes.

    The book takes nominal 3 and 2 in for the ratio of bores (0.667, really 0.674) and two-digit friction factors: 2 %.
    """
    water = Coolant(15.6, 62.364 * POUND_PER_FOOT3, 1.1, 4190.0, 0.59)
    wide, narrow, friction = 77.93, 52.50, 0.0173
    system = Chain(
        (
            LocalLoss(wide, 0.5, 0.0, water),
            LocalLoss(wide, 60 * friction, 0.0, water),
            LocalLoss(wide, 8 * friction, 0.0, water),
            TubeLength(wide, 10 * FOOT_MM, STEEL_MM, water),
            LocalLoss(narrow, contraction_coefficient(wide, narrow), 0.0, water),
            TubeLength(narrow, 20 * FOOT_MM, STEEL_MM, water),
            LocalLoss(narrow, 1.0, 0.0, water),
        )
    )
    tank = Tank(column_pressure_kpa(11.5 * FOOT_MM, water))
    state = solve_network([Branch("tank", "out", "in", tank), Branch("pipe", "in", "out", system)], "out")
    assert state.flows_l_min["pipe"] / GALLON_L == pytest.approx(137, rel=0.02)


def test_affinity_laws_of_example_7_33() -> None:
    """TP-410 7-33: 400 gal/min at 126 ft and 3500 rpm become 194 gal/min at 29.7 ft and 1700 rpm."""
    curve: PumpCurve = pump_curve([(0.0, 150.0), (400.0, 126.0), (700.0, 0.0)], 400.0, 50.0)
    speed = 1700 / 3500
    assert 400 * speed == pytest.approx(194.3, abs=0.05)
    assert head_kpa(curve, 400.0, 1.0) == 126
    assert head_kpa(curve, 400 * speed, speed) == pytest.approx(29.7, abs=0.05)


def test_pump_power_of_example_7_34() -> None:
    """TP-410 7-34: 428 ft, 700 gal/min, 60 degF, efficiency 70.7 %: 107 hp at the shaft."""
    water = Coolant(15.6, 62.364 * POUND_PER_FOOT3, 1.1, 4190.0, 0.59)
    head = column_pressure_kpa(428 * FOOT_MM, water)
    assert hydraulic_power_w(700 * GALLON_L, head) / 0.707 / HORSEPOWER_W == pytest.approx(107.06, abs=0.05)


@pytest.mark.parametrize(
    ("temperature_c", "flow_l_min", "bore_mm", "reynolds", "drop_pa", "haaland_pa"),
    [(25.0, 4.0, 10.0, 9508.98, 2248.44, 2250.0), (40.0, 6.0, 12.7, 15239.8, 1348.35, 1344.0)],
)
def test_straight_tube_of_two_metres(
    temperature_c: float, flow_l_min: float, bore_mm: float, reynolds: float, drop_pa: float, haaland_pa: float
) -> None:
    """Reynolds number to the last printed digit; drop within one percent of Colebrook's and Haaland's."""
    water = water_at(temperature_c)
    assert reynolds_number(flow_l_min, bore_mm, water) == pytest.approx(reynolds, rel=1e-5)
    drop = tube_drop_kpa(flow_l_min, bore_mm, 2000.0, 0.0, water) * 1e3
    assert drop == pytest.approx(drop_pa, rel=0.01)
    assert drop == pytest.approx(haaland_pa, rel=0.01)


def test_laminar_drop_is_hagen_poiseuille() -> None:
    """128 mu L Q / (pi d^4), by hand: 40 mPa s, 1 l/min, 10 mm, 1 m gives 2716 Pa."""
    oil = Coolant(20.0, 1000.0, 40.0, 2000.0, 0.15)
    assert tube_drop_kpa(1.0, 10.0, 1000.0, 0.0, oil) * 1e3 == pytest.approx(2716.2, rel=1e-4)


def test_velocity_limit_of_copper_is_five_feet_a_second(cell: Callable[[str, str], float]) -> None:
    """Copper Tube Handbook, as quoted by three public pages: hot water up to 60 degC 5 ft/s, cold water 8 ft/s."""
    assert cell("limit/coolant-velocity-copper", "value") == pytest.approx(5 * 0.3048, abs=0.05)
    assert cell("limit/coolant-velocity-tube", "value") == pytest.approx(8 * 0.3048, abs=0.05)


def test_nothing_of_a_flow_is_lost_between_velocity_and_bore() -> None:
    """4 l/min through 10 mm: 4e-3 / 60 m3/s over 78.54 mm2 is 0.849 m/s, by hand."""
    assert velocity_m_per_s(4.0, 10.0) == pytest.approx(0.849, abs=0.0005)
