"""One surface of a part is of one material.

Owns: finding part and surface that stand twice. Does not own: parts without any row (`wetted_known.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.checks.repeats import repeats
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.wetted_materials import WettedMaterial

CODE = "WET-001"
PROMISE = "One surface of a part is of one material."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active row that repeats part and surface of an earlier one."""
    for row, earlier in repeats(tables.active(WettedMaterial), lambda row: (row.subject_id, row.role)):
        what = f"{earlier.id} says it already"
        yield tables.fault(row, "role", CODE, what, "withdraw one, or name the part it is true of")
