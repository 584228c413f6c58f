"""Units of amounts against scipy.constants, whose factors no one here wrote."""

from __future__ import annotations

import pytest
from scipy import constants

from schemas.columns.amounts import AIR_FLOW, FLOW, MASS, PRESSURE, TEMPERATURE, VOLUME, Dimension, parse_amount

_WATER_N_PER_M3 = 1000 * constants.g  # conventional column of water


@pytest.mark.parametrize(
    ("text", "dimension", "expected"),
    [
        ("1 gal/min", FLOW, constants.gallon * 1000),
        ("60 gph", FLOW, constants.gallon * 1000),
        ("1 m3/h", FLOW, 1000 / 60),
        ("10 ml/s", FLOW, 0.6),
        ("1 psi", PRESSURE, constants.psi / 1000),
        ("1 bar", PRESSURE, constants.bar / 1000),
        ("4 m", PRESSURE, 4 * _WATER_N_PER_M3 / 1000),
        ("1 ft", PRESSURE, constants.foot * _WATER_N_PER_M3 / 1000),
        ("1 inH2O", PRESSURE, constants.inch * _WATER_N_PER_M3 / 1000),
        ("1 mmH2O", PRESSURE, 1e-3 * _WATER_N_PER_M3 / 1000),
        ("1 cfm", AIR_FLOW, constants.foot**3 / constants.minute * constants.hour),
        ("1 fl oz", VOLUME, constants.fluid_ounce * 1e6),
        ("1 lb", MASS, constants.pound * 1000),
        ("1 oz", MASS, constants.ounce * 1000),
    ],
)
def test_units_convert_as_the_reference_library_has_them(text: str, dimension: Dimension, expected: float) -> None:
    assert parse_amount(text, dimension) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(("text", "scale"), [("77 degF", "Fahrenheit"), ("298.15 K", "Kelvin"), ("25 degC", "Celsius")])
def test_temperatures_convert_as_the_reference_library_has_them(text: str, scale: str) -> None:
    value = float(text.split(maxsplit=1)[0])
    expected = constants.convert_temperature(value, scale, "Celsius")
    assert parse_amount(text, TEMPERATURE) == pytest.approx(expected, abs=1e-9)
