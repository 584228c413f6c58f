"""An old id is gone, and its new one is that of a row.

Owns: old and new ids. Does not own: that no old id stands twice (its column), or what is said of them.
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables import ROW_CLASSES
from schemas.tables.renamed_ids import RenamedId

CODE = "REN-001"
PROMISE = "An id that was renamed is that of no row any more, and its new one is that of a row."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every old id that a row still has, and every new one that no row has."""
    ids = {row.id for row_class in ROW_CLASSES.values() for row in tables.of(row_class)}
    old_ids = {row.old_id for row in tables.of(RenamedId)}
    for row in tables.of(RenamedId):
        if row.old_id in ids:
            yield tables.fault(row, "old_id", CODE, f"a row has the id {row.old_id}", "give that row another id")
        if row.new_id in old_ids:
            fix = "name the id that the row has today"
            yield tables.fault(row, "new_id", CODE, f"{row.new_id} was renamed itself", fix)
        elif row.new_id not in ids:
            yield tables.fault(row, "new_id", CODE, f"no row has the id {row.new_id}", "name the id of a row")
