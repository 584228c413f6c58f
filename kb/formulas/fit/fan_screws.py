"""Screws that hold fans to a radiator: how far they reach, how much holds, how near they come to the core.

Owns: lengths along the screw, at the worst ends of their tolerances. Does not own: limits, or which screw is asked of.
The tolerances are stacked at their ends, not by squares: two dimensions meet, and a pierced tube costs a computer.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import NamedTuple

_INCH_MM = 25.4
_NUMBER_OF_6_32 = 6
_DIAMETERS_MM = MappingProxyType({"m3": 3.0, "m4": 4.0, "6-32-unc": (0.060 + 0.013 * _NUMBER_OF_6_32) * _INCH_MM})


class Clamped(NamedTuple):
    """What stands between the head of a screw and the threaded plate, and how far it may deviate.

    Attributes:
        thickness_mm: fan frame, washers and gaskets.
        thickness_tolerance_mm: plus or minus of that.
        length_tolerance_mm: plus or minus of the screw's length.
    """

    thickness_mm: float
    thickness_tolerance_mm: float
    length_tolerance_mm: float

    @property
    def tolerance_mm(self) -> float:
        """Both tolerances at their ends [mm]."""
        return self.thickness_tolerance_mm + self.length_tolerance_mm


def thread_diameter_mm(thread: str) -> float:
    """Return the nominal diameter of a screw's thread [mm].

    Args:
        thread: `m3`, `m4` or `6-32-unc`; a unified one with the number n is 0.060 in + n * 0.013 in thick.

    Raises:
        KeyError: if it is another one.

    Source: ISO 261 for metric, ASME B1.1 for numbered unified threads (both from memory).

    >>> thread_diameter_mm("m3"), round(thread_diameter_mm("6-32-unc"), 3)
    (3.0, 3.505)
    """
    return _DIAMETERS_MM[thread]


def reach_mm(length_mm: float, clamped: Clamped) -> float:
    """Return how far a screw stands inside, from the outside of the plate, at nominal size [mm]: L - t.

    Args:
        length_mm: L, length below the head [mm].
        clamped: t.

    Source: plane geometry.

    >>> reach_mm(30.0, Clamped(25.0, 0.3, 0.42))
    5.0
    """
    return length_mm - clamped.thickness_mm


def least_engagement_mm(length_mm: float, clamped: Clamped) -> float:
    """Return the reach of the shortest screw behind the thickest frame [mm]: (L - t) - (dL + dt).

    The plate may be thinner than that; then the plate's thickness is what holds.

    Args:
        length_mm: L [mm].
        clamped: t and both tolerances.

    Source: plane geometry, worst case.

    >>> round(least_engagement_mm(30.0, Clamped(25.0, 0.3, 0.42)), 2)
    4.28
    """
    return reach_mm(length_mm, clamped) - clamped.tolerance_mm


def engagement_diameters(length_mm: float, clamped: Clamped, diameter_mm: float) -> float:
    """Return how many diameters of a screw engage at least [1]: ((L - t) - (dL + dt)) / d.

    Args:
        length_mm: L [mm].
        clamped: t and both tolerances.
        diameter_mm: d, nominal diameter of the thread [mm], above 0.

    Raises:
        ZeroDivisionError: if d is 0.

    Source: plane geometry, worst case.

    >>> round(engagement_diameters(30.0, Clamped(25.0, 0.3, 0.42), 3.0), 2)
    1.43
    """
    return least_engagement_mm(length_mm, clamped) / diameter_mm


def least_gap_mm(length_mm: float, clamped: Clamped, free_mm: float) -> float:
    """Return the gap between the longest screw behind the thinnest frame and the core [mm]: f - (L - t) - (dL + dt).

    Args:
        length_mm: L [mm].
        clamped: t and both tolerances.
        free_mm: f, free depth from the outside of the plate to the nearest tube or fin [mm].

    Source: plane geometry, worst case.

    >>> round(least_gap_mm(30.0, Clamped(25.0, 0.3, 0.42), 6.5), 2)
    0.78
    """
    return free_mm - reach_mm(length_mm, clamped) - clamped.tolerance_mm


def shortest_length_mm(clamped: Clamped, engagement_mm: float) -> float:
    """Return the shortest screw that surely engages so far [mm]: t + e + dL + dt.

    Args:
        clamped: t and both tolerances.
        engagement_mm: e, wanted engagement [mm].

    Source: plane geometry, worst case: the inverse of `least_engagement_mm`.

    >>> round(shortest_length_mm(Clamped(25.0, 0.3, 0.42), 3.0), 2)
    28.72
    """
    return clamped.thickness_mm + engagement_mm + clamped.tolerance_mm


def longest_length_mm(clamped: Clamped, free_mm: float, gap_mm: float) -> float:
    """Return the longest screw that surely stays so far from the core [mm]: t + f - g - (dL + dt).

    Args:
        clamped: t and both tolerances.
        free_mm: f, free depth behind the outside of the plate [mm].
        gap_mm: g, wanted gap [mm].

    Source: plane geometry, worst case: the inverse of `least_gap_mm`.

    >>> round(longest_length_mm(Clamped(25.0, 0.3, 0.42), 6.5, 0.5), 2)
    30.28
    """
    return clamped.thickness_mm + free_mm - gap_mm - clamped.tolerance_mm


def middle_core_free_mm(thickness_mm: float, core_depth_mm: float) -> float:
    """Return the free depth on each side of a core that sits in the middle of its frame [mm]: (T - d) / 2.

    Args:
        thickness_mm: T, thickness of the radiator [mm].
        core_depth_mm: d, depth of tubes and fins [mm].

    Validity: many cores sit off the middle; then one side has less.
    Source: plane geometry.

    >>> middle_core_free_mm(30.0, 20.0)
    5.0
    """
    return (thickness_mm - core_depth_mm) / 2
