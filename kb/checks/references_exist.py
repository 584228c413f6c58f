"""Every reference leads to a row that exists.

Owns: finding references to nothing. Does not own: references to withdrawn rows (`references_active.py`).
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from typing import Any

from kb.checks.referring import references
from kb.store.faults import Fault
from kb.store.typed_rows import Tables

CODE = "REF-001"
PROMISE = "Every reference leads to a row that exists."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every reference, lists included, whose id stands in none of the tables its column names."""
    ids: dict[tuple[str, ...], frozenset[str] | None] = {}
    for row, field, target in references(tables):
        named = field.column.refers_to
        if named not in ids:
            ids[named] = _ids(tables, named)
        valid = ids[named]
        if valid is not None and target not in valid:
            yield _fault(tables, row, field.name, target, sorted(valid))


def _ids(tables: Tables, named: tuple[str, ...]) -> frozenset[str] | None:
    """Return the ids of the named tables; `None` if one of them was left out, where any row may stand."""
    if not tables.rows.keys() >= set(named):
        return None
    return frozenset(row.id for table in named for row in tables.rows[table])


def _fault(tables: Tables, row: Any, column: str, target: str, valid: list[str]) -> Fault:
    near = difflib.get_close_matches(target, valid, n=3, cutoff=0)
    fix = "write one of: " + ", ".join(near) if near else "add the row it refers to"
    return tables.fault(row, column, CODE, f"no row has the id {target}", fix)
