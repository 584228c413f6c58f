"""What rests on a document that cannot be found again is of low confidence.

Owns: finding such rows of medium or high confidence. Does not own: memory (`memory_is_weak.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.checks.resting import resting_rows
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.columns.provenance import Confidence
from schemas.tables.sources import Source

CODE = "SRC-009"
PROMISE = "What rests on a document without an address is of low confidence."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every such row of medium or high confidence on a source without an address."""
    unfound = {source.id for source in tables.of(Source) if source.address is None}
    for row in resting_rows(tables):
        if row.source_id in unfound and row.confidence is not Confidence.LOW:
            what = f"is {row.confidence.value}, but {row.source_id} has no address"
            yield tables.fault(row, "confidence", CODE, what, "write low, or find the document and enter its address")
