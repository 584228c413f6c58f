"""A published or measured value was seen in some carrier of its source.

Owns: finding values taken from sources that nobody saw. Does not own: locators (`facts_have_a_place.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.columns.provenance import Basis, HowSeen, Sourced
from schemas.tables.sources import Source, SourceKind

CODE = "SRC-004"
PROMISE = "A published or measured value was seen in some carrier of its source."

_NO_DOCUMENT = (SourceKind.COMMON_PRACTICE, SourceKind.FROM_MEMORY)  # nothing to see; `basis_fits_source.py` speaks


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every published or measured row whose source is marked as not seen."""
    documents = (source for source in tables.of(Source) if source.kind not in _NO_DOCUMENT)
    unseen = {source.id for source in documents if source.how_seen is HowSeen.NOT_SEEN}
    for rows in tables.rows.values():
        for row in rows:
            if isinstance(row, Sourced) and row.basis in (Basis.PUBLISHED, Basis.MEASURED) and row.source_id in unseen:
                what = f"is {row.basis.value}, but {row.source_id} was not seen"
                yield tables.fault(row, "source_id", CODE, what, "say where the source was seen, or write from-memory")
