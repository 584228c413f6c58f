"""One amount as people write it: a number with a unit of flow, pressure, heat, temperature or volume.

Owns: text (`1.2 gal/min`, `4 m`, `300 W`, `77 degF`) -> the number in the unit this project computes with. Does not
own: lengths (`schemas/columns/sizes.py`), whose fractions of an inch have a grammar of their own.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from schemas.columns.fixable import FixableError

LONGEST_TEXT = 40
_AMOUNT = re.compile(r"\s*(?P<number>[+-]?(?:\d{1,7}(?:\.\d{1,9})?|\.\d{1,9}))\s*(?P<unit>[^\d\s].*?)?\s*", re.ASCII)


class AmountError(FixableError):
    """A text that is not one amount of the kind that is asked for."""


@dataclass(frozen=True, slots=True)
class Dimension:
    """Units of one kind: value in the unit computed with = factor * (written + offset).

    Attributes:
        unit: the unit computed with.
        units: unit as written, in lower case -> factor and offset.
    """

    unit: str
    units: Mapping[str, tuple[float, float]]


def _dimension(unit: str, factors: Mapping[str, float], offsets: Mapping[str, float] | None = None) -> Dimension:
    shifts = offsets or {}
    return Dimension(
        unit, MappingProxyType({name: (factor, shifts.get(name, 0.0)) for name, factor in factors.items()})
    )


_US_GALLON_L = 3.785411784  # 231 cubic inches, exact
_METRE_OF_WATER_KPA = 9.80665  # conventional: 1000 kg/m3 at standard gravity
_POUND_PER_IN2_KPA = 6.894757293168361
_CUBIC_FOOT_PER_MIN_M3_H = 0.028316846592 * 60

FLOW = _dimension(
    "l/min",
    {
        "l/min": 1.0,
        "lpm": 1.0,
        "l/h": 1 / 60,
        "ml/s": 0.06,
        "m3/h": 1000 / 60,
        "gal/min": _US_GALLON_L,
        "gpm": _US_GALLON_L,
        "gal/h": _US_GALLON_L / 60,
        "gph": _US_GALLON_L / 60,
    },
)
PRESSURE = _dimension(
    "kPa",
    {
        "kpa": 1.0,
        "pa": 1e-3,
        "mbar": 0.1,
        "bar": 100.0,
        "psi": _POUND_PER_IN2_KPA,
        "m": _METRE_OF_WATER_KPA,
        "mh2o": _METRE_OF_WATER_KPA,
        "mmh2o": _METRE_OF_WATER_KPA / 1000,
        "ft": _METRE_OF_WATER_KPA * 0.3048,
        "inh2o": _METRE_OF_WATER_KPA * 0.0254,
    },
)
AIR_PRESSURE = _dimension("Pa", {unit: factor * 1000 for unit, (factor, _) in PRESSURE.units.items()})
AIR_FLOW = _dimension("m3/h", {"m3/h": 1.0, "cfm": _CUBIC_FOOT_PER_MIN_M3_H, "l/s": 3.6, "m3/s": 3600.0})
HEAT = _dimension("W", {"w": 1.0, "kw": 1000.0})
TEMPERATURE = _dimension(
    "degC",
    {"degc": 1.0, "c": 1.0, "°c": 1.0, "degf": 5 / 9, "f": 5 / 9, "°f": 5 / 9, "k": 1.0},
    {"degf": -32.0, "f": -32.0, "°f": -32.0, "k": -273.15},
)
VOLUME = _dimension("ml", {"ml": 1.0, "l": 1000.0, "cl": 10.0, "fl oz": _US_GALLON_L * 1000 / 128})
THERMAL_RESISTANCE = _dimension("K/W", {"k/w": 1.0, "degc/w": 1.0, "c/w": 1.0, "°c/w": 1.0})
MASS = _dimension("g", {"g": 1.0, "kg": 1000.0, "lb": 453.59237, "oz": 28.349523125})


def parse_amount(text: str, dimension: Dimension) -> float:
    """Return an amount in the unit computed with.

    Args:
        text: a number and a unit, such as `1.2 gal/min`.
        dimension: the units that are allowed.

    Raises:
        AmountError: if the text is anything else, or has no unit.

    Source: factors are exact by definition (US gallon 231 in3, standard gravity, avoirdupois pound, inch).

    >>> round(parse_amount("1 gal/min", FLOW), 3), parse_amount("77 degF", TEMPERATURE), parse_amount("4 m", PRESSURE)
    (3.785, 25.0, 39.2266)
    """
    match = _AMOUNT.fullmatch(text.lower()) if len(text) <= LONGEST_TEXT else None
    allowed = ", ".join(dimension.units)
    if match is None:
        what = f"{text[:LONGEST_TEXT]!r} is not one amount"
        raise AmountError(what, f"write a number and a unit, such as 3 {dimension.unit}")
    if match["unit"] is None:
        raise AmountError(f"{text!r} has no unit", f"write for example {text.strip()} {dimension.unit}")
    found = dimension.units.get(match["unit"].replace("³", "3"))
    if found is None:
        raise AmountError(f"{match['unit']!r} is no unit of this amount", f"use one of {allowed}")
    factor, offset = found
    return (float(match["number"]) + offset) * factor


def amount_in(value: float, dimension: Dimension, unit: str) -> float:
    """Return an amount in another unit: the inverse of `parse_amount`.

    Args:
        value: in the unit computed with.
        dimension: the units that are allowed.
        unit: one of them.

    Raises:
        KeyError: if the unit is none of them.

    >>> round(amount_in(4.6, FLOW, "gal/min"), 2), round(amount_in(25.0, TEMPERATURE, "degf"), 9)
    (1.22, 77.0)
    """
    factor, offset = dimension.units[unit]
    return value / factor - offset
