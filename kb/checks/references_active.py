"""An active row never refers to a withdrawn one.

Owns: finding references to withdrawn rows. Does not own: references to nothing (`references_exist.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.checks.referring import references
from kb.store.faults import Fault
from kb.store.typed_rows import Tables

CODE = "REF-002"
PROMISE = "An active row never refers to a withdrawn one."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every reference of an active row to a withdrawn one."""
    withdrawn = {row.id for rows in tables.rows.values() for row in rows if _is_withdrawn(row)}
    for row, field, target in references(tables):
        if target in withdrawn and not _is_withdrawn(row):
            fix = "refer to the row that took its place, or withdraw this row too"
            yield tables.fault(row, field.name, CODE, f"{target} is withdrawn", fix)


def _is_withdrawn(row: object) -> bool:
    return getattr(row, "withdrawn_on", None) is not None
