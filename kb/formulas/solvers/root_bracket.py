"""Where a smooth quantity passes zero, or is just below it.

Owns: that search. Does not own: what is searched.
"""

from __future__ import annotations

from collections.abc import Callable

_MOST_STEPS = 60
_HALVING = 4  # every so many steps the bracket is halved, whatever the false position says


def root(function: Callable[[float], float], low: float, high: float, close: float) -> float | None:
    """Return where a function passes zero between two places; `None` if it has the same sign at both.

    Args:
        function: continuous.
        low: one end.
        high: the other end, above it.
        close: how near the answer has to be.

    Source: false position with halving.

    >>> round(root(lambda x: x * x - 2, 0.0, 2.0, 1e-9), 6)
    1.414214
    """
    at_low, at_high = function(low), function(high)
    if (at_low < 0) == (at_high < 0):
        return None
    for step in range(1, _MOST_STEPS):
        if high - low <= close:
            break
        place = (low + high) / 2 if step % _HALVING == 0 else (low * at_high - high * at_low) / (at_high - at_low)
        place = min(max(place, low + close / 2), high - close / 2)
        value = function(place)
        if (value < 0) == (at_low < 0):
            low, at_low = place, value
        else:
            high, at_high = place, value
    return (low + high) / 2


def just_below(
    function: Callable[[float], float], least: float, below: tuple[float, float], steepness: float, close: float
) -> float:
    """Return a place where a falling function is at most zero, and hardly below it.

    Args:
        function: continuous; it falls as the place grows.
        least: smallest place that is allowed; it is returned if the function is at most zero even there.
        below: a greater place and the value there, zero or below.
        steepness: about how fast the function falls, for the first step.
        close: how far below zero the value may lie.

    Source: secant that aims at the middle of what is allowed, kept within its bracket, with halving.

    >>> round(just_below(lambda x: 2 - x * x, 0.0, (2.0, -2.0), 3.0, 1e-6), 4)
    1.4142
    >>> just_below(lambda x: 2 - x * x, 1.5, (2.0, -2.0), 3.0, 1e-6)
    1.5
    """
    (place, value), floor, aim = below, least, -close / 2
    for step in range(1, _MOST_STEPS):
        if value >= -close or place <= least:
            break
        tried = place - (aim - value) / steepness if steepness > 0 and step % _HALVING else (floor + place) / 2
        tried = tried if floor < tried < place else (floor + place) / 2 if floor > least else least
        at_tried = function(tried)
        steepness = (at_tried - value) / (place - tried)
        if at_tried > 0:
            floor = tried
        else:
            place, value = tried, at_tried
    return place
