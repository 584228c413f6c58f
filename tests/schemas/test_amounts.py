"""Amounts with units: every unit there and back, and what is no amount."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schemas.columns.amounts import (
    AIR_FLOW,
    AIR_PRESSURE,
    FLOW,
    HEAT,
    MASS,
    PRESSURE,
    TEMPERATURE,
    THERMAL_RESISTANCE,
    VOLUME,
    AmountError,
    Dimension,
    amount_in,
    parse_amount,
)

DIMENSIONS = (FLOW, PRESSURE, AIR_PRESSURE, AIR_FLOW, HEAT, TEMPERATURE, VOLUME, THERMAL_RESISTANCE, MASS)
UNITS = [(dimension, unit) for dimension in DIMENSIONS for unit in dimension.units]


@given(st.sampled_from(UNITS), st.integers(min_value=-9_999_999, max_value=9_999_999))
def test_an_amount_goes_there_and_back_in_every_unit(known: tuple[Dimension, str], thousandths: int) -> None:
    dimension, unit = known
    written = thousandths / 1000
    value = parse_amount(f"{written:.3f} {unit}", dimension)
    assert amount_in(value, dimension, unit) == pytest.approx(written, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("dimension", DIMENSIONS, ids=lambda dimension: dimension.unit)
def test_the_unit_computed_with_changes_nothing(dimension: Dimension) -> None:
    assert parse_amount(f"12.5 {dimension.unit}", dimension) == 12.5


@pytest.mark.parametrize(
    "text",
    ["", "W", "1,5 W", "1e3 W", "300", "300 V", "0x10 W", "1 W 2", "nan W", "inf W", "٣ W", "1 W" + " " * 60, "1/2 W"],
)
def test_what_is_no_amount_is_refused_with_a_fix(text: str) -> None:
    with pytest.raises(AmountError) as refused:
        parse_amount(text, HEAT)
    assert refused.value.fix


@given(st.text(max_size=50))
def test_no_text_breaks_the_reader(text: str) -> None:
    try:
        parse_amount(text, FLOW)
    except AmountError as refused:
        assert refused.fix
