"""The fins of a radiator leave room for air, its holes lie inside the fan.

Owns: holding fins and fan holes against their spacing. Does not own: the core as a whole (`radiator_cores.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.columns.sizes import MM_PER_INCH
from schemas.tables.radiators import Radiator

CODE = "RAD-002"
PROMISE = "The fins of a radiator leave room for air, its holes lie inside the fan."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active radiator whose fins touch or whose holes lie outside the fan."""
    for row in tables.active(Radiator):
        spacing = float(MM_PER_INCH) / row.fins_per_inch
        if row.fin_thickness_mm >= spacing:
            what = f"fins of {row.fin_thickness_mm:g} mm stand {spacing:.3g} mm apart"
            yield tables.fault(row, "fins_per_inch", CODE, what, "count the fins again, or correct their thickness")
        if row.fan_hole_spacing_mm >= row.fan_size_mm:
            what = f"holes {row.fan_hole_spacing_mm:g} mm apart lie outside a fan of {row.fan_size_mm:g} mm"
            yield tables.fault(row, "fan_hole_spacing_mm", CODE, what, "measure from hole to hole, centre to centre")
