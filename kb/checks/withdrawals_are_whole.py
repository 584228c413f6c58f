"""A withdrawn row carries both the day and the reason.

Owns: finding half withdrawals. Does not own: rows that lean on withdrawn ones (`references_active.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.columns.provenance import Sourced

CODE = "ROW-001"
PROMISE = "A withdrawn row carries both the day and the reason."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every row that has only one of the two."""
    for rows in tables.rows.values():
        for row in rows:
            if isinstance(row, Sourced) and (row.withdrawn_on is None) is not (row.withdrawn_reason is None):
                empty = "withdrawn_on" if row.withdrawn_on is None else "withdrawn_reason"
                yield tables.fault(row, empty, CODE, "is empty in a row half withdrawn", "fill both or neither")
