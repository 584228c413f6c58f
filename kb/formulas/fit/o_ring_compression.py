"""A rigid tube in a socket with an O-ring: entering, compression and stretch.

Owns: geometry of O-ring, groove and tube. Does not own: limits or verdicts (`kb/compatibility/joints/o_ring_joint.py`).
"""

from __future__ import annotations


def socket_clearance_mm(socket_bore: float, tube_od: float) -> float:
    """Return the clearance [mm] of a tube in its socket, on the diameter: b - d; negative if it cannot enter.

    Args:
        socket_bore: b [mm].
        tube_od: d [mm].

    Source: plane geometry.

    >>> round(socket_clearance_mm(12.2, 12.0), 3)
    0.2
    """
    return socket_bore - tube_od


def o_ring_compression_percent(section: float, groove_diameter: float, tube_od: float) -> float:
    """Return the compression of an O-ring between groove and tube [%]: (w - t) / w * 100, t = (D - d) / 2.

    Args:
        section: w, cross-section of the free O-ring [mm], above 0.
        groove_diameter: D, bottom of the groove in the socket [mm].
        tube_od: d [mm].

    Returns:
        Above 0 where the O-ring touches both, 0 or below where it does not seal.

    Raises:
        ZeroDivisionError: if w is 0.

    Validity: O-ring neither stretched nor gathered by more than some 5 % (the section then changes by less than 3 %).
    Source: plane geometry; seal handbooks define it so.

    >>> round(o_ring_compression_percent(2.0, 15.2, 12.0), 1)
    20.0
    """
    depth = (groove_diameter - tube_od) / 2
    return (section - depth) / section * 100


def o_ring_stretch_percent(o_ring_id: float, tube_od: float) -> float:
    """Return how far a tube stretches the bore of an O-ring [%]: (d - i) / i * 100; negative if the O-ring is larger.

    Args:
        o_ring_id: i, inside diameter of the free O-ring [mm], above 0.
        tube_od: d [mm].

    Raises:
        ZeroDivisionError: if i is 0.

    Source: definition in seal handbooks.

    >>> round(o_ring_stretch_percent(12.42, 12.7), 2)
    2.25
    """
    return (tube_od - o_ring_id) / o_ring_id * 100
