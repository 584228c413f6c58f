"""Every reference leads to a row that exists.

Owns: finding references to nothing. Does not own: references to withdrawn rows (`references_stand.py`).
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from typing import Any

from kb.checks.referring import references
from kb.faults import Fault
from kb.table_rows import Tables

CODE = "REF-001"
PROMISE = "Every reference leads to a row that exists."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every reference, lists included, whose id stands in none of the tables its column names."""
    ids = {name: {row.id for row in rows} for name, rows in tables.rows.items()}
    for row, field, target in references(tables):
        if not ids.keys() >= set(field.column.refers_to):
            continue  # the row may stand in a table that was left out
        if not any(target in ids[table] for table in field.column.refers_to):
            valid = sorted(row_id for table in field.column.refers_to for row_id in ids[table])
            yield _fault(tables, row, field.name, target, valid)


def _fault(tables: Tables, row: Any, column: str, target: str, valid: list[str]) -> Fault:
    near = difflib.get_close_matches(target, valid, n=3, cutoff=0)
    fix = "write one of: " + ", ".join(near) if near else "add the row it refers to"
    return tables.fault(row, column, CODE, f"no row has the id {target}", fix)
