"""A published value of high confidence was seen in two independent documents, or its arithmetic closes.

Owns: what `high` asks for. Does not own: what low confidence follows from (`memory_is_weak.py`, `unfound_is_weak.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.checks.resting import resting_rows
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.columns.provenance import Confidence, HowSeen
from schemas.tables.sources import Source

CODE = "SRC-010"
PROMISE = "High confidence in a published value rests on two independent documents or on arithmetic that closes."

ENOUGH = 2
_FIX = "write medium, or name what confirms it in confirmed_by: another source, or the formula that closes"


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every row of high confidence on one document that nothing confirms, or confirmed by itself."""
    sources = {source.id: source for source in tables.of(Source)}
    for row in resting_rows(tables):
        source = sources.get(row.source_id)
        if row.confidence is not Confidence.HIGH or source is None or source.carriers >= ENOUGH:
            continue
        if row.confirmed_by is None or row.confirmed_by == row.source_id:
            seen = "one abstract" if source.how_seen is HowSeen.ABSTRACT else "one document"
            yield tables.fault(row, "confidence", CODE, f"is high on {seen}, which nothing confirms", _FIX)
