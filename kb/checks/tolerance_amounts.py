"""A tolerance says how far both ways: below and above, a percentage, or all three.

Owns: whether amounts are there. Does not own: size ranges (`tolerance_ranges.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.tolerances import Tolerance

CODE = "TOL-001"
PROMISE = "A tolerance says how far both ways: below and above, a percentage, or all three."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active tolerance with one side only, or with nothing at all."""
    for row in tables.active(Tolerance):
        if (row.minus_mm is None) is not (row.plus_mm is None):
            empty = "minus_mm" if row.minus_mm is None else "plus_mm"
            what, fix = "is empty while the other side is given", "write 0 if the tolerance has one side only"
            yield tables.fault(row, empty, CODE, what, fix)
        elif row.minus_mm is None and row.percent is None:
            what, fix = "neither millimetres nor percent are given", "write what the source prints"
            yield tables.fault(row, "minus_mm", CODE, what, fix)
