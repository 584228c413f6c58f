"""What is only remembered is of low confidence.

Owns: holding the confidence of remembered rows. Does not own: their source (`basis_fits_source.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.columns.provenance import Basis, Confidence, Sourced

CODE = "SRC-003"
PROMISE = "What is only remembered is of low confidence."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every remembered row of medium or high confidence."""
    for rows in tables.rows.values():
        for row in rows:
            if isinstance(row, Sourced) and row.basis is Basis.FROM_MEMORY and row.confidence is not Confidence.LOW:
                what = f"is {row.confidence.value} on the basis from-memory"
                yield tables.fault(row, "confidence", CODE, what, "write low, or find a source that prints the value")
