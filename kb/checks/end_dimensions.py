"""The dimensions of an end lie inside one another.

Owns: the order of dimensions of one end. Does not own: how well a tube fits (limits over computed quantities).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.fitting_ends import FittingEnd

CODE = "END-003"
PROMISE = "The dimensions of an end lie inside one another."

_INNER_AND_OUTER = (
    ("bore_mm", "collar_diameter_mm"),
    ("bore_mm", "barb_od_mm"),
    ("bore_mm", "groove_diameter_mm"),
    ("tube_id_mm", "tube_od_mm"),
    ("barb_od_mm", "collar_bore_mm"),
    ("socket_bore_mm", "groove_diameter_mm"),
    ("groove_diameter_mm", "collar_diameter_mm"),
    ("collar_bore_mm", "collar_diameter_mm"),
)


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every inner dimension of an active end that is not smaller than the outer one around it."""
    for end in tables.active(FittingEnd):
        for inner, outer in _INNER_AND_OUTER:
            small, large = getattr(end, inner), getattr(end, outer)
            if small is not None and large is not None and small >= large:
                what = f"{small:g} is not smaller than {outer} {large:g}"
                yield tables.fault(end, inner, CODE, what, "hold both against the source; they may be exchanged")
