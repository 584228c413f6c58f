"""Amounts as people read them: few digits, the unit, and the other unit the trade uses.

Owns: how flow, pressure, temperature, heat, volume and length look on a page. Does not own: the numbers.
"""

from __future__ import annotations

from collections.abc import Callable

from schemas.answers.uncertainty_range import UncertaintyRange
from schemas.columns.amounts import FLOW, TEMPERATURE, amount_in
from schemas.columns.sizes import MM_PER_INCH

_LITRES_FROM_ML = 1000.0


def with_range(one: UncertaintyRange, unit: str, digits: int = 1) -> str:
    """Return a range as `4.6 l/min (3.9 to 5.2)`; the number alone if both ends look like it.

    >>> with_range(UncertaintyRange(low=3.9, likely=4.6, high=5.2), "l/min")
    '4.6 l/min (3.9 to 5.2)'
    >>> with_range(UncertaintyRange(low=4.0, likely=4.0, high=4.0), "K")
    '4.0 K'
    """
    low, likely, high = (f"{value:.{digits}f}" for value in (one.low, one.likely, one.high))
    return f"{likely} {unit}" if low == likely == high else f"{likely} {unit} ({low} to {high})"


def flow(l_min: float) -> str:
    """Return a flow in both units.

    >>> flow(4.6)
    '4.6 l/min (1.2 gal/min)'
    """
    return f"{l_min:.1f} l/min ({amount_in(l_min, FLOW, 'gal/min'):.1f} gal/min)"


def temperature(celsius: float) -> str:
    """Return a temperature in both units.

    >>> temperature(40.0)
    '40.0 degC (104 degF)'
    """
    return f"{celsius:.1f} degC ({amount_in(celsius, TEMPERATURE, 'degf'):.0f} degF)"


def length(mm: float) -> str:
    """Return a length in both units.

    >>> length(55.0)
    '55 mm (2.17 in)'
    """
    return f"{mm:.4g} mm ({mm / float(MM_PER_INCH):.2f} in)"


def volume(ml: float) -> str:
    """Return a volume, in litres from one litre up.

    >>> volume(250.0), volume(1234.0)
    ('250 ml', '1.23 l')
    """
    return f"{ml / _LITRES_FROM_ML:.2f} l" if ml >= _LITRES_FROM_ML else f"{ml:.0f} ml"


def or_unknown(value: float | None, show: Callable[[float], str]) -> str:
    """Return how a value looks, or that it is not known.

    >>> or_unknown(None, volume)
    'not known'
    """
    return "not known" if value is None else show(value)
