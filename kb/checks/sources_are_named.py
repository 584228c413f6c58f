"""A source that no row names says so in its note, and no other source does.

Owns: holding the notes of sources against the rows that name them.
Does not own: references to sources that do not exist (`references_exist.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.columns.provenance import Sourced
from schemas.tables import ROW_CLASSES
from schemas.tables.sources import Source

NO_ROW = "no row names it"

CODE = "SRC-005"
PROMISE = "A source that no row names says so in its note, and no other source does."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every source that no row names and whose note does not begin so, and the other way round."""
    every_row = (row for row_class in ROW_CLASSES.values() for row in tables.of(row_class))
    named = {row.source_id for row in every_row if isinstance(row, Sourced)}
    for source in tables.of(Source):
        is_unused = (source.note or "").startswith(NO_ROW)
        if source.id not in named and not is_unused:
            fix = f"name it in the rows that cite it, or begin its note with {NO_ROW!r} and say why it is kept"
            yield tables.fault(source, "id", CODE, "no row names this source", fix)
        elif source.id in named and is_unused:
            fix = "rewrite the note: rows cite the source now"
            yield tables.fault(source, "note", CODE, f"begins with {NO_ROW!r}, but rows name the source", fix)
