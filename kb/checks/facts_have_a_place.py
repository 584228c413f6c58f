"""What was published, measured or computed names its place in the source.

Owns: finding rows without a locator. Does not own: whether the source is of the right kind (`basis_fits_source.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.columns.provenance import Basis, Sourced

CODE = "SRC-001"
PROMISE = "What was published, measured or computed names its place in the source."

LOCATED = (Basis.PUBLISHED, Basis.MEASURED, Basis.COMPUTED)


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every row on such a basis whose locator is empty."""
    for rows in tables.rows.values():
        for row in rows:
            if isinstance(row, Sourced) and row.basis in LOCATED and row.locator is None:
                fix = "name table, clause, page or formula; if nobody saw it, the basis is from-memory"
                yield tables.fault(row, "locator", CODE, f"is empty on the basis {row.basis.value}", fix)
