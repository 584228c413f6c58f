"""Habit and memory are named as such: basis and kind of source say the same.

Owns: holding the basis of a row against the kind of its source. Does not own: confidence (`memory_is_weak.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.columns.provenance import Basis, Sourced
from schemas.tables.sources import Source, SourceKind

CODE = "SRC-002"
PROMISE = "Habit, memory and a search without result are named as such: basis and kind of source say the same."

_BASIS_OF_KIND = (
    (SourceKind.SEARCH, Basis.SEARCHED),
    (SourceKind.COMMON_PRACTICE, Basis.COMMON_PRACTICE),
    (SourceKind.FROM_MEMORY, Basis.FROM_MEMORY),
)


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every row on habit or memory that names another kind of source, and the other way round."""
    kinds = {source.id: source.kind for source in tables.of(Source)}
    for rows in tables.rows.values():
        for row in rows:
            kind = kinds.get(row.source_id) if isinstance(row, Sourced) else None
            if kind is not None and any((kind is one) is not (row.basis is other) for one, other in _BASIS_OF_KIND):
                what = f"the basis is {row.basis.value}, but {row.source_id} is of the kind {kind.value}"
                fix = "name the source the value was really taken from, or the basis it really has"
                yield tables.fault(row, "basis", CODE, what, fix)
