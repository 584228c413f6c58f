"""Where a fan and a resistance agree.

Owns: the balance of pressures. Does not own: curves (`kb/formulas/heat/fan_curve.py`) or resistances
(`kb/formulas/heat/core_resistance.py`).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from kb.formulas.heat.fan_curve import FanCurve

_PRESSURE_TOLERANCE = 1e-9  # of the fan's highest pressure
_MOST_STEPS = 200
_QUICK_STEPS = 20  # from then on the bracket is halved: the resistance has a step or the like
_USUAL_POWER = 1.7  # of a core between creeping and turbulent; a start only


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


def operating_point(
    fan: FanCurve, resistance: Callable[[float], float], guess_m3_per_s: float | None = None
) -> OperatingPoint:
    """Return the flow at which the fan's pressure is what the resistance takes.

    The fan's pressure falls and the resistance rises with the flow, so there is one such flow between none and free
    delivery. It is bracketed from both ends. A resistance with a step can make the ends meet without any balance; the
    pressures are therefore compared at the end and a step is refused instead of answered.

    Args:
        fan: curve at its speed.
        resistance: pressure [Pa] that a flow [m3/s] takes, rising from 0.
        guess_m3_per_s: flow of a fan and a resistance much alike; saves steps and changes no answer.

    Raises:
        NoBalanceError: if the resistance jumps across the fan's curve.

    Source: balance of pressures; Newton steps with the slope of the fan's line and of a power law through the last two
    places, halving where these leave the bracket.

    >>> from kb.formulas.heat.fan_curve import curve_of_points
    >>> point = operating_point(curve_of_points([(0, 20), (108, 0)]), lambda flow: 20000 * flow**2)
    >>> round(point.flow_m3_per_s, 7)
    0.0190794
    """
    highest = fan.free_flow_m3_per_s
    start = highest if guess_m3_per_s is None or not 0 < guess_m3_per_s < highest else guess_m3_per_s
    taken = resistance(start)
    if taken <= 0:
        start, taken = highest, resistance(highest)
    if taken <= 0:
        return OperatingPoint(highest, 0.0)
    return _balance(fan, resistance, (start, taken), _PRESSURE_TOLERANCE * fan.pressures_pa[0])


def _balance(
    fan: FanCurve, resistance: Callable[[float], float], start: tuple[float, float], tolerance: float
) -> OperatingPoint:
    """Return where fan and resistance agree, from a flow and what it takes."""
    low, high = 0.0, fan.free_flow_m3_per_s
    power, (flow, taken) = _USUAL_POWER, start
    for step in range(1, _MOST_STEPS):
        pressure, slope = fan.line_at(flow)
        excess = pressure - taken
        if abs(excess) <= tolerance:
            return OperatingPoint(flow, pressure)
        low, high = (flow, high) if excess > 0 else (low, flow)
        steepness = power * taken / flow - slope
        tried = flow + excess / steepness if steepness > 0 and step < _QUICK_STEPS else high
        if not low < tried < high:
            tried = (low + high) / 2
        tried_takes = resistance(tried)
        if taken > 0 and tried_takes > 0 and tried != flow:
            power = math.log(tried_takes / taken) / math.log(tried / flow)
        else:
            power = _USUAL_POWER
        flow, taken = tried, tried_takes
    raise NoBalanceError(flow, excess)
