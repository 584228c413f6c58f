"""The dimensions and speeds of a fan lie inside one another.

Owns: the order of the figures of one fan. Does not own: its curve (`fan_curves.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.fans import Fan

_INNER_AND_OUTER = (
    ("hub_diameter_mm", "blade_diameter_mm"),
    ("blade_diameter_mm", "fan_size_mm"),
    ("hole_spacing_mm", "fan_size_mm"),
    ("speed_min_rpm", "speed_max_rpm"),
    ("sound_speed_rpm", "speed_max_rpm"),
)

CODE = "FAN-002"
PROMISE = "The dimensions and speeds of a fan lie inside one another."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every smaller figure of an active fan that is above the larger one."""
    for fan in tables.active(Fan):
        for inner, outer in _INNER_AND_OUTER:
            small, large = getattr(fan, inner), getattr(fan, outer)
            if small is not None and large is not None and small > large:
                what = f"{small:g} is above {outer} {large:g}"
                yield tables.fault(fan, inner, CODE, what, "hold both against the source; they may be exchanged")
