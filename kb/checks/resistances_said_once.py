"""A resistance is said once, either as a loss coefficient on a bore or as one point.

Owns: which columns of a resistance are filled, and rows that repeat one another. Does not own: the values.
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.resistances import Resistance

CODE = "RES-001"
PROMISE = "A resistance is said once, either as a loss coefficient on a bore or as one point."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active row that is neither or both, and for every second row of one kind of part."""
    first: dict[tuple[str, str, float | None], Resistance] = {}
    for row in tables.active(Resistance):
        coefficient = (row.loss_coefficient, row.laminar_coefficient, row.bore_mm)
        point = (row.reference_flow_l_min, row.drop_kpa, row.drop_exponent)
        filled = [all(cell is not None for cell in cells) for cells in (coefficient, point)]
        started = [any(cell is not None for cell in cells) for cells in (coefficient, point)]
        if filled != started or sum(filled) != 1:
            fix = "fill coefficient, laminar part and bore, or flow, drop and exponent, and leave the others empty"
            yield tables.fault(row, "loss_coefficient", CODE, "is neither a coefficient nor a point, or both", fix)
        earlier = first.setdefault((row.family_id, row.direction, row.angle_deg), row)
        if earlier is not row:
            what = f"speaks of the same family, direction and angle as {earlier.id}"
            yield tables.fault(row, "family_id", CODE, what, "withdraw one of them, or give them two families")
