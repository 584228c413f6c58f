"""Radiator and fans in their place, and fittings in front of ports: depths and bends.

Owns: lengths in a row. Does not own: limits, or screws (`kb/formulas/fit/fan_screws.py`).
"""

from __future__ import annotations

import math


def fans_depth_mm(thickness_mm: float, packing_mm: float, faces: int) -> float:
    """Return what fans add to the depth of a radiator [mm]: n (t + p).

    Args:
        thickness_mm: t, of the frame [mm].
        packing_mm: p, washers, gaskets and guards of one face [mm].
        faces: n, 1 or 2 (push and pull).

    Source: plane geometry.

    >>> fans_depth_mm(25.0, 1.0, 2)
    52.0
    """
    return faces * (thickness_mm + packing_mm)


def stack_room_mm(available_mm: float, radiator_mm: float, fans_mm: float) -> float:
    """Return the room that is left beside a radiator and its fans [mm]: R - t - f; below zero they do not go in.

    Args:
        available_mm: R, room in the place [mm].
        radiator_mm: t, the radiator in that direction [mm].
        fans_mm: f, what the fans add in it, see `fans_depth_mm` [mm].

    Source: plane geometry.

    >>> stack_room_mm(60.0, 30.0, 26.0)
    4.0
    """
    return available_mm - radiator_mm - fans_mm


def port_clearance_mm(available_mm: float, fitting_mm: float, bend_mm: float) -> float:
    """Return the room that is left in front of a port [mm]: R - l - b; below zero fitting and tube do not go in.

    Args:
        available_mm: R, free room in front of the port [mm].
        fitting_mm: l, how far the fittings stand out [mm].
        bend_mm: b, what the bend and half the tube take, see `port_need_mm` [mm].

    Source: plane geometry.

    >>> port_clearance_mm(90.0, 25.0, 48.0)
    17.0
    """
    return available_mm - fitting_mm - bend_mm


def port_need_mm(fitting_mm: float, turn_deg: float, bend_radius_mm: float, tube_od_mm: float) -> float:
    """Return the room a port needs in front of it, if the tube turns aside at once [mm]: l + r (1 - sin a) + d / 2.

    Args:
        fitting_mm: l, how far the fitting stands out before the tube is free to bend [mm].
        turn_deg: a, by how much the fitting itself turns [deg], 0 to 90.
        bend_radius_mm: r, radius of the middle line of the bend; 0 if the tube does not turn [mm].
        tube_od_mm: d, outside diameter of the tube [mm].

    Source: plane geometry of an arc that ends square to the port.

    >>> port_need_mm(25.0, 0.0, 40.0, 16.0)
    73.0
    >>> port_need_mm(25.0, 90.0, 40.0, 16.0)
    33.0
    """
    return fitting_mm + bend_radius_mm * (1 - math.sin(math.radians(turn_deg))) + tube_od_mm / 2
