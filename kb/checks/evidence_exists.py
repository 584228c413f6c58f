"""Every statement of evidence that a note names stands in evidence.csv, and every one there is named.

Owns: following ids of evidence in the text of cells. Does not own: other references (`references_exist.py`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.columns.columns import fields_of
from schemas.tables import ROW_CLASSES
from schemas.tables.evidence import Evidence

CODE = "EVI-001"
PROMISE = "Every id of evidence in a note is that of a statement, and every statement is named by some note."

_ID = re.compile(r"\bevidence/[a-z0-9-]+")
_NOTES = frozenset({"note", "roles_note", "level_reason", "locator", "where_seen"})


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every id that leads nowhere and for every row of evidence that nothing names."""
    statements = {row.id: row for row in tables.of(Evidence)}
    named: set[str] = set()
    for name, rows in tables.rows.items():
        if name == Evidence.table:
            continue
        columns = [field.name for field in fields_of(type(rows[0])) if field.name in _NOTES] if rows else []
        for row in rows:
            for column in columns:
                for found in _ID.findall(getattr(row, column) or ""):
                    named.add(found)
                    if found not in statements:
                        fix = "add the statement to evidence.csv, or write what was read instead of the id"
                        yield tables.fault(row, column, CODE, f"no row of evidence has the id {found}", fix)
    if not tables.rows.keys() >= ROW_CLASSES.keys():
        return  # a table that was left out may name them
    for missing, row in statements.items():
        if missing not in named:
            yield tables.fault(
                row, "id", CODE, "no note names this statement", "name it where it counts, or take it out"
            )
