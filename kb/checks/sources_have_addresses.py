"""A document that published facts rest on says where a reader finds it, or carries the record of a search.

Owns: finding sources that nobody could follow. Does not own: the form of addresses (`address_forms.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.checks.resting import resting_rows
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.sources import Source

CODE = "SRC-007"
PROMISE = "A source of published facts has publisher, year and address, or the record of a search for it."

_NEEDED = ("publisher", "year", "address_kind", "address", "address_seen_in")


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every cell that a reader needs to follow a source, unless the search for it is recorded."""
    resting = {row.source_id for row in resting_rows(tables)}
    for source in tables.of(Source):
        has_some = any(getattr(source, column) for column in ("address_kind", "address", "address_seen_in"))
        if source.id not in resting or (source.searched and not has_some):
            continue
        for column in _NEEDED:
            if not getattr(source, column):
                fix = "write it as it stood where you saw it, or empty the address and record the search in searched"
                yield tables.fault(source, column, CODE, "is empty, and published facts rest on the source", fix)
