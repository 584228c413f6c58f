"""A screwed-in fitting in its port and beside its neighbour: engagement, bottoming, seat and collar gap.

Owns: lengths and distances around a port. Does not own: whether the threads mate (`kb/formulas/fit/thread_mating.py`).
"""

from __future__ import annotations


def engaged_turns(thread_length: float, thread_depth: float, pitch: float) -> float:
    """Return the turns of thread in engagement: min(l, t) / P.

    Args:
        thread_length: l, length of the male thread [mm].
        thread_depth: t, depth of full thread in the port [mm].
        pitch: P [mm], above 0.

    Raises:
        ZeroDivisionError: if P is 0.

    Source: plane geometry.

    >>> round(engaged_turns(5.0, 12.0, 1.337), 2)
    3.74
    """
    return min(thread_length, thread_depth) / pitch


def bottoming_clearance_mm(thread_length: float, thread_depth: float) -> float:
    """Return the room [mm] left under the male thread when its collar is seated: t - l; negative if it bottoms first.

    Args:
        thread_length: l [mm].
        thread_depth: t, depth of full thread in the port [mm].

    Source: plane geometry.

    >>> bottoming_clearance_mm(5.0, 12.0)
    7.0
    """
    return thread_depth - thread_length


def seat_clearance_mm(spotface_diameter: float, collar_diameter: float) -> float:
    """Return the room [mm] of diameter around a collar in a recessed flat: D4 - c; negative if it cannot seat.

    Args:
        spotface_diameter: D4, least diameter of the flat [mm].
        collar_diameter: c, largest diameter of the collar [mm].

    Source: plane geometry.

    >>> seat_clearance_mm(19.0, 18.0)
    1.0
    """
    return spotface_diameter - collar_diameter


def collar_gap_mm(distance: float, first_collar: float, second_collar: float) -> float:
    """Return the gap [mm] between the collars in two neighbouring ports: p - (c1 + c2) / 2; negative if they collide.

    Args:
        distance: p, between the middles of the ports [mm].
        first_collar: c1, largest turning diameter of the first fitting [mm].
        second_collar: c2 [mm].

    Source: plane geometry.

    >>> collar_gap_mm(25.0, 20.0, 21.0)
    4.5
    """
    return distance - (first_collar + second_collar) / 2
