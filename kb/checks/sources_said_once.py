"""A document stands once among the sources.

Owns: finding documents that stand twice. Does not own: sources without rows (`sources_are_named.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.checks.repeats import repeats
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.sources import Source

CODE = "SRC-006"
PROMISE = "A document stands once among the sources."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every source with the title, publisher and edition of an earlier one."""
    for row, earlier in repeats(tables.of(Source), lambda row: (row.title, row.publisher, row.edition)):
        what = f"{earlier.id} has the same title, publisher and edition"
        yield tables.fault(row, "title", CODE, what, "keep one, and let the rows of the other name it")
