"""The section of a ring is smaller than its inside, and its tolerances smaller than both.

Owns: the order of the figures of one ring. Does not own: how a ring is squeezed (limits over computed quantities).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.faults import Fault
from kb.table_rows import Tables
from schemas.tables.seals import Seal

_INNER_AND_OUTER = (
    ("section_mm", "ring_id_mm"),
    ("ring_id_tolerance_mm", "ring_id_mm"),
    ("section_tolerance_mm", "section_mm"),
)

CODE = "SEA-001"
PROMISE = "The section of a ring is smaller than its inside, and its tolerances smaller than both."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every smaller figure of a standing ring that is not below the larger one."""
    for seal in tables.standing(Seal):
        for inner, outer in _INNER_AND_OUTER:
            small, large = getattr(seal, inner), getattr(seal, outer)
            if small is not None and large is not None and small >= large:
                what = f"{small:g} is not smaller than {outer} {large:g}"
                yield tables.fault(seal, inner, CODE, what, "hold both against the source; they may be exchanged")
