"""Curves of fans: static pressure against flow, at a speed, in series and in parallel.

Owns: curves as broken lines and their sums, which are broken lines again. Does not own: where a curve meets a
resistance (`kb/formulas/heat/operating_point.py`).
Beyond its free delivery a fan resists the air: the last line goes on below 0.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from kb.formulas.heat.fan_laws import flow_at_speed, pressure_at_speed

_HOUR_S = 3600.0


@dataclass(frozen=True, slots=True, eq=False)
class FanCurve:
    """Static pressure against flow; flows rise, pressures fall. A curve is only equal to itself.

    Attributes:
        flows_m3_per_s: flows [m3/s], the first one 0, rising.
        pressures_pa: static pressures [Pa], falling.
        free_flow_m3_per_s: flow against no resistance [m3/s].
    """

    flows_m3_per_s: tuple[float, ...]
    pressures_pa: tuple[float, ...]
    free_flow_m3_per_s: float = field(init=False)

    def __post_init__(self) -> None:
        """Refuse what is no fan curve.

        Raises:
            ValueError: if there are fewer than two points, flows do not rise from 0 or pressures do not fall.
        """
        flows, pressures = self.flows_m3_per_s, self.pressures_pa
        if len(flows) < 2 or len(flows) != len(pressures) or flows[0] != 0:  # noqa: PLR2004 - two points make a line
            raise ValueError("a fan curve needs two points at least, the first one at flow 0")
        if any(right <= left for left, right in pairwise(flows)):
            raise ValueError("the flows of a fan curve must rise")
        if any(right >= left for left, right in pairwise(pressures)):
            raise ValueError("the pressures of a fan curve must fall")
        object.__setattr__(self, "free_flow_m3_per_s", self.flow_at(0.0))

    def pressure_at(self, flow: float) -> float:
        """Return the static pressure [Pa] at a flow [m3/s]; below 0 beyond free delivery."""
        return self.line_at(flow)[0]

    def line_at(self, flow: float) -> tuple[float, float]:
        """Return the static pressure [Pa] at a flow [m3/s], and how it changes with the flow there [Pa s/m3]."""
        flows, pressures = self.flows_m3_per_s, self.pressures_pa
        right = bisect_right(flows, flow, 1, len(flows) - 1)
        left = right - 1
        start, pressure = flows[left], pressures[left]
        dimension, fall = flows[right] - start, pressures[right] - pressure
        return pressure + (flow - start) / dimension * fall, fall / dimension

    def flow_at(self, pressure: float) -> float:
        """Return the flow [m3/s] at a static pressure [Pa]; below 0 where the pressure pushes the air back."""
        flows, pressures = self.flows_m3_per_s, self.pressures_pa
        right = next((place for place, value in enumerate(pressures) if value <= pressure), len(pressures) - 1)
        right = max(right, 1)
        share = (pressure - pressures[right - 1]) / (pressures[right] - pressures[right - 1])
        return flows[right - 1] + share * (flows[right] - flows[right - 1])


def curve_of_points(points: Sequence[tuple[float, float]]) -> FanCurve:
    """Return the curve through points of a table.

    Args:
        points: flow [m3/h] and static pressure [Pa] of each, in any order.

    Raises:
        ValueError: as `FanCurve`.

    >>> curve_of_points([(0, 18), (90, 0)]).pressure_at(45 / 3600)
    9.0
    """
    ordered = sorted(points)
    return FanCurve(tuple(flow / _HOUR_S for flow, _ in ordered), tuple(float(pressure) for _, pressure in ordered))


def curve_at_speed(curve: FanCurve, speed_ratio: float) -> FanCurve:
    """Return the curve at another speed, by the fan laws.

    Args:
        curve: at the old speed.
        speed_ratio: new over old speed [-], above 0.

    Raises:
        ValueError: if the ratio is not above 0: a fan that stands still has no curve.

    Source: fan laws.

    >>> slow = curve_at_speed(curve_of_points([(0, 16), (100, 0)]), 0.5)
    >>> slow.pressures_pa[0], round(slow.free_flow_m3_per_s * 3600)
    (4.0, 50)
    """
    if speed_ratio <= 0:
        raise ValueError("a fan that stands still has no curve")
    return FanCurve(
        tuple(flow_at_speed(flow, speed_ratio) for flow in curve.flows_m3_per_s),
        tuple(pressure_at_speed(pressure, speed_ratio) for pressure in curve.pressures_pa),
    )


def in_series(curves: Sequence[FanCurve]) -> FanCurve:
    """Return the curve of fans behind each other, such as push and pull: pressures add at equal flow.

    Args:
        curves: at least one.

    Validity: swirl and the distance between the fans are neglected, so real gain is somewhat smaller.
    Source: addition of pressures.

    >>> in_series([curve_of_points([(0, 16), (100, 0)])] * 2).pressures_pa
    (32.0, 0.0)
    """
    farthest = max(curve.free_flow_m3_per_s for curve in curves)
    flows = sorted({flow for curve in curves for flow in curve.flows_m3_per_s if flow < farthest} | {farthest})
    return _summed(flows, [curve.pressure_at for curve in curves])


def in_parallel(curves: Sequence[FanCurve]) -> FanCurve:
    """Return the curve of fans side by side on one common space: flows add at equal pressure.

    Args:
        curves: at least one.

    Validity: no short circuit of the air from one fan through another; where the pressure is above what a weaker fan
    can do, air is pushed back through it, as in reality.
    Source: addition of flows.

    >>> round(in_parallel([curve_of_points([(0, 16), (100, 0)])] * 2).free_flow_m3_per_s * 3600)
    200
    """
    pressures = sorted({pressure for curve in curves for pressure in curve.pressures_pa}, reverse=True)
    flows = [sum(curve.flow_at(pressure) for curve in curves) for pressure in pressures]
    if flows[0] < 0:
        pressures, flows = _from_no_flow(pressures, flows)
    return FanCurve((0.0, *flows[1:]), tuple(pressures))


def _from_no_flow(pressures: list[float], flows: list[float]) -> tuple[list[float], list[float]]:
    """Cut the part where more air comes back than goes through; the curve then begins at no flow at all."""
    right = next(place for place, flow in enumerate(flows) if flow > 0)
    share = -flows[right - 1] / (flows[right] - flows[right - 1])
    start = pressures[right - 1] + share * (pressures[right] - pressures[right - 1])
    return [start, *pressures[right:]], [0.0, *flows[right:]]


def _summed(flows: Sequence[float], pressures: Sequence[Callable[[float], float]]) -> FanCurve:
    return FanCurve(tuple(flows), tuple(sum(pressure(flow) for pressure in pressures) for flow in flows))
