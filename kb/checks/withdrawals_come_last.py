"""A row is not withdrawn before it was last checked.

Owns: the order of the days of a row. Does not own: half withdrawals (`withdrawals_are_whole.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.columns.provenance import Sourced

CODE = "ROW-002"
PROMISE = "A row is not withdrawn before it was last checked."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every row withdrawn on a day before it was checked."""
    for rows in tables.rows.values():
        for row in rows:
            withdrawn = row.withdrawn_on if isinstance(row, Sourced) else None
            if withdrawn is not None and withdrawn < row.checked_on:
                what = f"{withdrawn} lies before {row.checked_on}, when the row was checked"
                yield tables.fault(row, "withdrawn_on", CODE, what, "write the day on which it was withdrawn")
