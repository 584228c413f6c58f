"""A row that rests on a document says who held it against that, and in what form it was read.

Owns: finding rows without that record. Does not own: the day (a column that is never empty).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.checks.resting import resting_rows
from kb.store.faults import Fault
from kb.store.typed_rows import Tables

CODE = "SRC-011"
PROMISE = "A published or measured row says who held it against its source and in what form that was read."

_FIXES = (
    ("checked_by", "write the role of who looked, such as editor"),
    ("how_seen", "write original, abstract or second-hand"),
)


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every such cell that is empty."""
    for row in resting_rows(tables):
        for column, fix in _FIXES:
            if getattr(row, column) is None:
                yield tables.fault(row, column, CODE, f"is empty on the basis {row.basis.value}", fix)
