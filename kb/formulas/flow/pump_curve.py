"""What a pump does at a speed: head against flow, affinity laws, standing still, power.

Owns: from the points of a curve to the head at any flow and speed. Does not own: the points (pump_points.csv) or the
flow that a loop lets through (`kb/formulas/flow/pipe_network.py`).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from schemas.columns.fixable import FixableError

_KPA_L_PER_MIN_IN_W = 60.0


class PumpCurve(NamedTuple):
    """A pump at full speed.

    Attributes:
        flows_l_min: flows of the points, rising, the first 0 [l/min].
        heads_kpa: heads of the points, falling, the last 0 [kPa].
        stopped_kpa_per_flow2: what the pump takes when it stands still and is flowed through [kPa/(l/min)^2].
    """

    flows_l_min: tuple[float, ...]
    heads_kpa: tuple[float, ...]
    stopped_kpa_per_flow2: float


class CurveError(FixableError):
    """Points that are no pump curve."""


def pump_curve(points: Sequence[tuple[float, float]], stopped_flow_l_min: float, stopped_drop_kpa: float) -> PumpCurve:
    """Return the curve through points of flow and head.

    Args:
        points: flow [l/min] and head [kPa] at full speed, in any order.
        stopped_flow_l_min: a flow through the stopped pump [l/min], above 0.
        stopped_drop_kpa: what it takes then [kPa], above 0.

    Raises:
        CurveError: if the curve does not run from no flow to no head, or does not fall all the way.
        ZeroDivisionError: if the flow through the stopped pump is 0.

    >>> pump_curve([(0, 40), (20, 0)], 5.0, 2.5).stopped_kpa_per_flow2
    0.1
    """
    flows, heads = zip(*sorted(points), strict=True) if points else ((), ())
    if len(flows) < 2 or flows[0] != 0 or heads[-1] != 0:  # noqa: PLR2004 - two ends
        what = "the curve does not run from no flow to no head"
        raise CurveError(what, "give a point with flow 0 and one with head 0")
    pairs = zip(flows, heads, strict=True)
    if any(x2 <= x1 or y2 >= y1 for (x1, y1), (x2, y2) in pairwise(pairs)):
        raise CurveError("the curve does not fall from point to point", "leave out the rising part near no flow")
    return PumpCurve(flows, heads, stopped_drop_kpa / stopped_flow_l_min**2)


def head_kpa(curve: PumpCurve, flow_l_min: float, speed: float) -> float:
    """Return the head [kPa] of a pump at a flow and a share of its full speed: s^2 H(Q / s).

    Args:
        curve: the pump at full speed.
        flow_l_min: Q [l/min]; may be negative (pushed backwards) or beyond what the pump reaches alone.
        speed: s, share of full speed, 0 (stopped) to 1.

    Returns:
        The head; negative where the pump resists the flow: beyond its free flow by the resistance of the stopped
        pump for the flow it cannot follow; pushed backwards the same is added to the head at no flow.

    Validity: affinity laws hold within some percent down to about half speed and flatter lower; straight between
    points. Beyond both ends of the curve nothing is published; the continuation is continuous and falls all the way.
    Source: affinity laws of centrifugal pumps: flow as speed, head as its square.

    >>> middle = pump_curve([(0, 40), (10, 30), (20, 0)], 5.0, 2.5)
    >>> head_kpa(middle, 5.0, 1.0), head_kpa(middle, 5.0, 0.5)
    (35.0, 7.5)
    >>> head_kpa(middle, 5.0, 0.0)
    -2.5
    """
    if flow_l_min < 0:
        return speed**2 * curve.heads_kpa[0] + curve.stopped_kpa_per_flow2 * flow_l_min**2
    free = speed * curve.flows_l_min[-1]
    if flow_l_min >= free:
        return -curve.stopped_kpa_per_flow2 * (flow_l_min**2 - free**2)
    return speed**2 * _between_points(curve, flow_l_min / speed)


def _between_points(curve: PumpCurve, flow_l_min: float) -> float:
    flows, heads = curve.flows_l_min, curve.heads_kpa
    at = min(bisect_right(flows, flow_l_min), len(flows) - 1)
    share = (flow_l_min - flows[at - 1]) / (flows[at] - flows[at - 1])
    return heads[at - 1] + share * (heads[at] - heads[at - 1])


def series_head_kpa(curves: Sequence[PumpCurve], flow_l_min: float, speed: float) -> float:
    """Return the head [kPa] of pumps one behind the other: the sum of their heads at one flow.

    Args:
        curves: the pumps.
        flow_l_min: flow through all of them [l/min].
        speed: share of full speed of all of them.

    Source: the same coolant passes all of them.

    >>> middle = pump_curve([(0, 40), (20, 0)], 5.0, 2.5)
    >>> series_head_kpa([middle, middle], 5.0, 1.0)
    60.0
    """
    return sum(head_kpa(curve, flow_l_min, speed) for curve in curves)


def alike_in_parallel_head_kpa(curve: PumpCurve, count: int, flow_l_min: float, speed: float) -> float:
    """Return the head [kPa] of equal pumps side by side: each carries its share of the flow.

    Args:
        curve: one of the pumps.
        count: how many, above 0.
        flow_l_min: flow of all of them together [l/min].
        speed: share of full speed.

    Raises:
        ZeroDivisionError: if there is no pump.

    Source: continuity.

    >>> middle = pump_curve([(0, 40), (20, 0)], 5.0, 2.5)
    >>> alike_in_parallel_head_kpa(middle, 2, 10.0, 1.0)
    30.0
    """
    return head_kpa(curve, flow_l_min / count, speed)


def pump_flow_share_percent(flow_l_min: float, speed: float, free_flow_l_min: float) -> float:
    """Return the flow through a pump over what it moves without resistance at its speed [%]: Q / (s Q_0) * 100.

    Args:
        flow_l_min: Q [l/min]; negative if it is pushed backwards.
        speed: s, share of full speed, above 0 [1].
        free_flow_l_min: Q_0, flow without resistance at full speed, above 0 [l/min].

    Raises:
        ZeroDivisionError: if s or Q_0 is 0.

    Validity: as the affinity laws, see `head_kpa`.
    Source: definition; affinity laws: flow as speed.

    >>> pump_flow_share_percent(4.0, 0.5, 16.0)
    50.0
    """
    return 100 * flow_l_min / (speed * free_flow_l_min)


def pump_speed_margin_percent(speed_percent: float, least_rpm: float, most_rpm: float) -> float:
    """Return how far a pump runs above the least speed it runs at [%]: s - n_min / n_max * 100.

    Args:
        speed_percent: s, speed over full speed [%].
        least_rpm: n_min, least speed [rpm].
        most_rpm: n_max, full speed, above 0 [rpm].

    Raises:
        ZeroDivisionError: if n_max is 0.

    Source: definition.

    >>> pump_speed_margin_percent(40.0, 1200.0, 4800.0)
    15.0
    """
    return speed_percent - 100 * least_rpm / most_rpm


def hydraulic_power_w(flow_l_min: float, pressure_kpa: float) -> float:
    """Return the power that goes into the coolant [W]: Q dp. All of it ends as heat in the loop.

    Args:
        flow_l_min: Q [l/min].
        pressure_kpa: dp [kPa].

    Source: definition.

    >>> round(hydraulic_power_w(5.0, 30.0), 2)
    2.5
    """
    return flow_l_min * pressure_kpa / _KPA_L_PER_MIN_IN_W
