"""Where a fan and a resistance agree.

Owns: the balance of pressures. Does not own: curves (`kb/duty/fan_curve.py`) or resistances
(`kb/duty/core_resistance.py`).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from kb.duty.fan_curve import FanCurve

_PRESSURE_TOLERANCE = 1e-9  # of the fan's highest pressure
_MOST_STEPS = 200
_HALVING = 4  # every so many steps the bracket is halved, whatever the false position says


class OperatingPoint(NamedTuple):
    """Flow and pressure at which a fan and a resistance agree."""

    flow_m3_per_s: float
    pressure_pa: float


class NoBalanceError(ValueError):
    """A resistance that jumps over the fan's curve, so that no flow balances both.

    Attributes:
        flow_m3_per_s: where it jumps.
        residual_pa: what remains between fan and resistance there.
        fix: what to do.
    """

    def __init__(self, flow: float, residual: float) -> None:
        super().__init__(f"no balance: {residual:g} Pa remain at {flow:g} m3/s")
        self.flow_m3_per_s = flow
        self.residual_pa = residual
        self.fix = "use a resistance without steps"


def operating_point(fan: FanCurve, resistance: Callable[[float], float]) -> OperatingPoint:
    """Return the flow at which the fan's pressure is what the resistance takes.

    The fan's pressure falls and the resistance rises with the flow, so there is one such flow between none and free
    delivery. It is bracketed from both ends. A resistance with a step can make the ends meet without any balance; the
    pressures are therefore compared at the end and a step is refused instead of answered.

    Args:
        fan: curve at its speed.
        resistance: pressure [Pa] that a flow [m3/s] takes, rising from 0.

    Raises:
        NoBalanceError: if the resistance jumps across the fan's curve.

    Source: balance of pressures; false position in the Illinois form, with halving.

    >>> from kb.duty.fan_curve import curve_of_points
    >>> point = operating_point(curve_of_points([(0, 20), (108, 0)]), lambda flow: 20000 * flow**2)
    >>> round(point.flow_m3_per_s, 7)
    0.0190794
    """
    highest = fan.free_flow_m3_per_s
    if resistance(highest) <= 0:
        return OperatingPoint(highest, 0.0)
    flow = _balance(lambda q: fan.pressure_at(q) - resistance(q), highest, _PRESSURE_TOLERANCE * fan.pressures_pa[0])
    return OperatingPoint(flow, fan.pressure_at(flow))


def _balance(excess: Callable[[float], float], highest: float, tolerance: float) -> float:
    """Return where the excess pressure, above 0 at no flow and below 0 at the highest, is 0."""
    low, high = 0.0, highest
    above, below = excess(low), excess(high)
    flow, residual, again = low, above, None
    for step in range(1, _MOST_STEPS):
        flow = (low + high) / 2 if step % _HALVING == 0 else (low * below - high * above) / (below - above)
        residual = excess(flow)
        if abs(residual) <= tolerance:
            return flow
        rising = residual > 0
        if rising:
            low, above, below = flow, residual, below / 2 if again is True else below
        else:
            high, below, above = flow, residual, above / 2 if again is False else above
        again = rising
    raise NoBalanceError(flow, residual)
