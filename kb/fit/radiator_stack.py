"""Radiator and fans in their place, and fittings in front of ports: depths and bends.

Owns: lengths in a row. Does not own: limits, or screws (`kb/fit/fan_screws.py`).
"""

from __future__ import annotations


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


def port_need_mm(fitting_mm: float, bend_radius_mm: float, tube_od_mm: float) -> float:
    """Return the room a port needs in front of it, if the tube turns at once [mm]: l + r + d / 2.

    Args:
        fitting_mm: l, how far the fitting stands out before the tube is free to bend [mm].
        bend_radius_mm: r, radius of the middle line of the bend; 0 if the tube goes straight on.
        tube_od_mm: d, outside diameter of the tube [mm].

    Source: plane geometry.

    >>> port_need_mm(25.0, 40.0, 16.0)
    73.0
    """
    return fitting_mm + bend_radius_mm + tube_od_mm / 2
