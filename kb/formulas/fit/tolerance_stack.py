"""How tolerances of several dimensions add up in one quantity.

Owns: stacking by the root of the sum of squares. Does not own: worst-case stacking, which is the formula itself at the
extremes, or the choice between both (`kb/compatibility/joints/`).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple, Protocol


class Spread(Protocol):
    """A dimension with its extremes [mm]."""

    @property
    def nominal(self) -> float:
        """Nominal value [mm]."""

    @property
    def low(self) -> float:
        """Least value [mm]."""

    @property
    def high(self) -> float:
        """Largest value [mm]."""


class Stack(NamedTuple):
    """A quantity at nominal dimensions and at its likely extremes, in the quantity's unit."""

    nominal: float
    low: float
    high: float


def root_sum_square(deviations: Iterable[float]) -> float:
    """Return what independent deviations come to together, in their unit: r = sqrt(sum(d_i^2)).

    Args:
        deviations: d_i, what each cause alone does.

    Validity: causes independent of each other, each small enough to act in proportion.
    Source: propagation of independent deviations; common practice of statistical tolerancing.

    >>> root_sum_square([3.0, 4.0])
    5.0
    """
    return math.sqrt(sum([one**2 for one in deviations]))


def stack_root_sum_square(quantity: Callable[..., float], dimensions: Sequence[Spread]) -> Stack:
    """Return a quantity with its likely extremes: f0 -+ sqrt(sum of squares of single deviations).

    Each dimension is moved alone to both its extremes; what lowers the quantity adds to the lower spread, what raises
    it to the upper one.

    Args:
        quantity: f, a function of as many dimensions [mm] as are given.
        dimensions: nominal, least and largest value of each [mm].

    Returns:
        Nominal, low and high in the unit of f; low and high never cross nominal.

    Validity: dimensions independent of each other, f near linear between the extremes.
    Source: common practice of statistical tolerancing; worst-case stacking is stricter.

    >>> class Side(NamedTuple):
    ...     nominal: float
    ...     low: float
    ...     high: float
    >>> stack = stack_root_sum_square(lambda a, b: a - b, [Side(10, 9.7, 10.3), Side(6, 5.6, 6.4)])
    >>> [round(value, 6) for value in stack]
    [4, 3.5, 4.5]
    """
    centre = [dimension.nominal for dimension in dimensions]
    nominal = quantity(*centre)
    falls, rises = list[float](), list[float]()
    for index, dimension in enumerate(dimensions):
        moved = [quantity(*centre[:index], edge, *centre[index + 1 :]) for edge in (dimension.low, dimension.high)]
        falls.append(max(0.0, nominal - min(moved)))
        rises.append(max(0.0, max(moved) - nominal))
    return Stack(nominal, nominal - root_sum_square(falls), nominal + root_sum_square(rises))
