"""A soft tube stretched over a barb, and the collar that clamps it.

Owns: stretch, wall and squeeze of a soft tube. Does not own: limits or verdicts
(`kb/compatibility/joints/soft_tube_joint.py`). A soft tube is taken to keep its volume and its length when stretched
(rubber-like, Poisson ratio near 0.5), so the area of its cross-section stays; real tube shortens a little, which
leaves slightly more wall than computed here.
"""

from __future__ import annotations

import math

THINNEST_WALL_MM = 0.001  # where tolerances leave no wall at all, something is still left to divide by


def barb_interference_percent(barb_od: float, tube_id: float) -> float:
    """Return how far a barb stretches the bore of a tube [%]: (b - i) / i * 100.

    Args:
        barb_od: b, largest diameter of the barb [mm].
        tube_id: i, inside diameter of the free tube [mm], above 0.

    Raises:
        ZeroDivisionError: if i is 0.

    Source: definition; a tubing primer's least example is a 0.270 in barb in a 0.250 in bore.

    >>> round(barb_interference_percent(0.270 * 25.4, 0.250 * 25.4), 1)
    8.0
    """
    return (barb_od - tube_id) / tube_id * 100


def od_on_barb_mm(tube_id: float, tube_od: float, barb_od: float) -> float:
    """Return the outside diameter [mm] of a tube where it sits on the barb: sqrt(o^2 - i^2 + b^2).

    Args:
        tube_id: i [mm].
        tube_od: o [mm], above i.
        barb_od: b [mm]; a barb smaller than the bore leaves the tube as it is.

    Validity: rubber-like tube, stretch below about 60 %.
    Source: constant area of the cross-section (plane geometry).

    >>> round(od_on_barb_mm(10.0, 16.0, 10.4), 3)
    16.253
    """
    stretched_bore = max(barb_od, tube_id)
    return math.sqrt(tube_od**2 - tube_id**2 + stretched_bore**2)


def wall_on_barb_mm(tube_id: float, tube_od: float, barb_od: float) -> float:
    """Return the wall [mm] of a tube where it sits on the barb.

    Args:
        tube_id: i [mm].
        tube_od: o [mm].
        barb_od: b [mm].

    Validity and source: as `od_on_barb_mm`.

    >>> round(wall_on_barb_mm(10.0, 16.0, 10.4), 3)
    2.926
    """
    return (od_on_barb_mm(tube_id, tube_od, barb_od) - max(barb_od, tube_id)) / 2


def wall_thinning_percent(tube_id: float, tube_od: float, barb_od: float) -> float:
    """Return how much thinner the wall is on the barb [%].

    Args:
        tube_id: i [mm].
        tube_od: o [mm], above i.
        barb_od: b [mm].

    Validity and source: as `od_on_barb_mm`.

    >>> round(wall_thinning_percent(10.0, 16.0, 10.4), 1)
    2.5
    """
    free_wall = (tube_od - tube_id) / 2
    return (1 - wall_on_barb_mm(tube_id, tube_od, barb_od) / free_wall) * 100


def clamping_squeeze_percent(tube_id: float, tube_od: float, barb_od: float, collar_bore: float) -> float:
    """Return how far a tightened collar squeezes the wall on the barb [%]: (1 - g / w) * 100, g = (c - b) / 2.

    Args:
        tube_id: i [mm].
        tube_od: o [mm].
        barb_od: b, diameter of the stem under the collar [mm].
        collar_bore: c, smallest inner diameter of the tightened collar [mm].

    Returns:
        Above 0 where the collar clamps, 0 or below where it does not touch the tube.

    Validity and source: as `od_on_barb_mm`.

    >>> round(clamping_squeeze_percent(10.0, 16.0, 10.4, 15.4), 1)
    14.6
    >>> round(clamping_squeeze_percent(9.525, 15.875, 13.1, 18.3), 1)  # 3/8 x 5/8 in a fitting for 1/2 x 3/4
    -1.1
    """
    gap = (collar_bore - barb_od) / 2
    wall = max(wall_on_barb_mm(tube_id, tube_od, barb_od), THINNEST_WALL_MM)
    return (1 - gap / wall) * 100
