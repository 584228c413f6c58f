"""Effectiveness and transfer units, and the bound of energy.

Carriers: package ht 1.2.0, `effectiveness_from_NTU` and its worked example (a textbook's example 10-8: oil from 15 to
85 degC against steam at 130 degC, UA 3041.75 W/K, effectiveness 0.608696, 1.104084 units); printed digits of the exact
form for two unmixed streams (Mason 1954), of the textbook approximation and of counterflow (Kays and London). The
library integrates the exact form, we sum its series.
"""

from __future__ import annotations

import math

import pytest
from ht.hx import effectiveness_from_NTU, effectiveness_NTU_method
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.formulas.heat.effectiveness import Section, air_bound, crossflow_effectiveness, exchange

PRINTED = [  # transfer units, capacity ratio, exact, textbook approximation, counterflow
    (0.5, 0.25, 0.375094, 0.372057, 0.377589),
    (1.0, 0.5, 0.54749, 0.544764, 0.564733),
    (1.0, 1.0, 0.476222, 0.468536, 0.5),
    (2.0, 0.5, 0.732409, 0.738758, 0.7746),
    (5.0, 0.7, 0.844482, 0.84448, 0.92067),
]
LAST_DIGIT = 0.6e-6


@pytest.mark.parametrize(("units", "ratio", "exact", "counter"), [(*row[:3], row[4]) for row in PRINTED])
def test_two_unmixed_streams_follow_the_exact_form(units: float, ratio: float, exact: float, counter: float) -> None:
    ours = crossflow_effectiveness(units, ratio)
    assert ours == pytest.approx(exact, abs=LAST_DIGIT)
    assert ours == pytest.approx(effectiveness_from_NTU(units, ratio, subtype="crossflow"), abs=1e-8)
    assert effectiveness_from_NTU(units, ratio, subtype="counterflow") == pytest.approx(counter, abs=LAST_DIGIT)
    assert ours < counter


@pytest.mark.parametrize(("units", "ratio", "approximate"), [(*row[:2], row[3]) for row in PRINTED])
def test_the_textbook_form_is_another_one_within_two_percent(units: float, ratio: float, approximate: float) -> None:
    textbook = 1 - math.exp(units**0.22 / ratio * (math.exp(-ratio * units**0.78) - 1))
    assert textbook == pytest.approx(approximate, abs=LAST_DIGIT)
    assert effectiveness_from_NTU(units, ratio, subtype="crossflow approximate") == pytest.approx(textbook, abs=1e-9)
    assert textbook == pytest.approx(crossflow_effectiveness(units, ratio), rel=0.02)


def test_the_worked_example_of_the_library() -> None:
    solved = effectiveness_NTU_method(
        mh=5.2, mc=1.45, Cph=1860.0, Cpc=1900.0, subtype="crossflow, mixed Cmax", Tci=15, Tco=85, Thi=130
    )
    assert solved["UA"] == pytest.approx(3041.751, abs=0.005)
    assert solved["effectiveness"] == pytest.approx(0.608696, abs=LAST_DIGIT)
    assert solved["NTU"] == pytest.approx(1.104084, abs=LAST_DIGIT)
    unmixed = exchange([Section(solved["UA"], solved["Cmin"])], solved["Cmax"], 1)
    assert unmixed.transfer_units == pytest.approx(1.104084, abs=LAST_DIGIT)
    assert unmixed.effectiveness > solved["effectiveness"]


def test_air_of_27_cubic_feet_a_minute_carries_at_most_15_watt_per_kelvin() -> None:
    flow, density, capacity = (
        27 * 0.3048**3 / 60,
        1.18432,
        1006.31,
    )  # dry air at 25 degC, CoolProp 8.0.0
    bound = air_bound(flow * density * capacity)
    assert bound == pytest.approx(15.19, abs=0.005)
    for conductance in (10.0, 100.0, 1e4):
        assert exchange([Section(conductance, bound)], 1e6, 1).conductance_w_per_k <= bound


def test_where_one_capacity_is_endless_the_form_is_exponential() -> None:
    assert crossflow_effectiveness(1.7, 0.0) == pytest.approx(1 - math.exp(-1.7), abs=1e-12)


@settings(max_examples=60, deadline=None)
@given(units=st.floats(1e-3, 60.0), ratio=st.floats(1e-3, 1.0))
def test_the_series_is_the_integral_of_the_library(units: float, ratio: float) -> None:
    assert crossflow_effectiveness(units, ratio) == pytest.approx(
        effectiveness_from_NTU(units, ratio, subtype="crossflow"), abs=1e-7
    )


def test_endless_units_reach_all_there_is_to_reach() -> None:
    assert crossflow_effectiveness(1e6, 0.5) == pytest.approx(1.0, abs=1e-9)
    assert 0.97 < crossflow_effectiveness(1e6, 1.0) < 1.0
