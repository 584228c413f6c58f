"""The rows of every table are sorted by id.

Owns: finding rows out of order. Does not own: ids that stand twice (the schema of the table).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from kb.store.faults import Fault
from kb.store.typed_rows import Tables

CODE = "ORD-001"
PROMISE = "The rows of every table are sorted by id."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every row whose id comes before the id of the row above it."""
    for rows in tables.rows.values():
        for above, row in pairwise(rows):
            if row.id < above.id:
                next_id = min(other.id for other in rows if other.id > row.id)
                yield tables.fault(row, "id", CODE, f"stands below {above.id}", f"move the line up, above {next_id}")
