"""Loss coefficients of Crane TP-410, appendix A, and of Borda and Carnot.

Carriers: package fluids 1.3.1; for bends also the table of K over friction factor and of the friction factor itself in
the public documentation of a simulation library, which quotes Crane. The paper itself was not opened.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from kb.formulas.coolant.coolant import water_at
from kb.formulas.flow.minor_losses import (
    bend_coefficient,
    coefficient_of_flow_factor,
    coefficient_on_bore,
    contraction_coefficient,
    expansion_coefficient,
    local_drop_kpa,
)
from kb.formulas.flow.tube_flow import dynamic_pressure_kpa

CRANE_BENDS = [(1, 20), (1.5, 14), (2, 12), (3, 12), (4, 14), (6, 17), (8, 24), (10, 30), (12, 34), (14, 38), (16, 42)]
FRICTION_AT_10_MM = 0.029
FRICTION_AT_15_MM = 0.027


def test_sudden_contraction() -> None:
    """Crane TP-410, equation 2-26: 0.5 (1 - b^2) is 0.375 from 12.7 to 6.35 mm."""
    assert contraction_coefficient(12.7, 6.35) == pytest.approx(0.375, abs=0.0005)


def test_other_handbooks_contract_up_to_forty_percent_harder() -> None:
    """Rennels gives 0.4956 at the same place: what the docstring says of the spread."""
    assert 1.28 < 0.4956 / contraction_coefficient(12.7, 6.35) < 1.40


def test_sudden_expansion() -> None:
    """Borda and Carnot: (1 - b^2)^2 is 0.5625 from 6.35 to 12.7 mm."""
    assert expansion_coefficient(6.35, 12.7) == pytest.approx(0.5625, abs=0.00005)


def test_half_the_bore_takes_sixteen_times_the_dynamic_pressure() -> None:
    """Crane TP-410: K is divided by the ratio of bores to the fourth power; exact arithmetic."""
    water = water_at(25.0)
    assert coefficient_on_bore(1.0, 6.35, 12.7) == 16
    assert dynamic_pressure_kpa(4.0, 6.35, water) == pytest.approx(16 * dynamic_pressure_kpa(4.0, 12.7, water))


@pytest.mark.parametrize(("ratio", "times_friction"), CRANE_BENDS)
def test_bends_follow_the_printed_table(ratio: float, times_friction: float) -> None:
    """A-29: K over the friction factor; table and fit are rounded to one unit, some values to the next even one."""
    coefficient = bend_coefficient(ratio, 90.0, 10.0)
    assert coefficient / FRICTION_AT_10_MM == pytest.approx(times_friction, abs=1.0)


@pytest.mark.parametrize(("ratio", "times_friction"), [(1.0, 20.0), (1.5, 14.0604), (3.0, 12.1212)])
def test_bends_of_a_small_pipe_in_figures_of_the_package(ratio: float, times_friction: float) -> None:
    """The friction factor of a 15.8 mm bore is 0.0255445 (A-26; TP-410 prints 0.026 or 0.027 for 1/2 in)."""
    assert bend_coefficient(ratio, 90.0, 15.8) == pytest.approx(times_friction * 0.0255445, rel=1e-4)


def test_a_bend_lies_at_the_upper_end_of_the_handbooks() -> None:
    """At r/d 1.5 and 12.7 mm: Rennels 0.294, Ito 0.298, Miller 0.331, Swamee 0.372, Crane 0.382."""
    assert bend_coefficient(1.5, 90.0, 12.7) == pytest.approx(0.382, abs=0.0005)


def test_flow_factor_of_a_valve() -> None:
    """TP-410M, example 7-2: Kv 500 m3/h in a bore of 154 mm is K 3.6."""
    assert coefficient_of_flow_factor(500.0, 154.0) == pytest.approx(3.6, abs=0.05)


def test_one_bar_drives_the_flow_factor() -> None:
    """Definition of Kv: that many cubic metres an hour at 1 bar, for water of 1000 kg/m3 (ours is 997 at 25 degC)."""
    coefficient = coefficient_of_flow_factor(0.7, 6.0)
    assert local_drop_kpa(0.7 * 1000 / 60, 6.0, coefficient, 0.0, water_at(25.0)) == pytest.approx(100, rel=0.005)


@pytest.mark.parametrize(
    ("row", "times_friction"),
    [
        ("fitting-30", 8),
        ("fitting-45", 15),
        ("fitting-60", 25),
        ("fitting-90", 60),
        ("splitter-through", 20),
        ("splitter-branch", 60),
        ("valve-open", 3),
    ],
)
def test_rows_are_the_printed_multiples(row: str, times_friction: float, cell: Callable[[str, str], float]) -> None:
    """A-26 to A-29: mitre bends, tees, ball valve; friction factor 0.0300 between 0.029 (10 mm) and 0.035 (5 mm)."""
    coefficient = cell(f"resistance/{row}", "loss_coefficient")
    assert coefficient == pytest.approx(times_friction * 0.0300, abs=0.011)


def test_reservoir_is_entrance_and_exit(cell: Callable[[str, str], float]) -> None:
    """Appendix A: sharp flush entrance 0.5, exit 1.0."""
    assert cell("resistance/reservoir", "loss_coefficient") == 0.5 + 1.0
