"""A row about a renamed id is called after the old one, so that nobody enters it twice.

Owns: the ids of such rows. Does not own: what they say.
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.renamed_ids import RenamedId

CODE = "REN-002"
PROMISE = "The row about a renamed id is called after the old one, with a hyphen for its slash."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every row with another id than its old one gives."""
    for row in tables.of(RenamedId):
        due = f"renamed/{row.old_id.replace('/', '-')}"
        if row.id != due:
            yield tables.fault(row, "id", CODE, "is not called after the old id", f"write {due}")
