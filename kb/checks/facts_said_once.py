"""No two active rows of a table say the same on the same source.

Owns: finding rows alike in everything but id and provenance, where no other check looks for them.
Does not own: contradictions between rows (a check for each kind of row).
"""

from __future__ import annotations

from collections.abc import Iterator
from operator import attrgetter
from typing import Any

from kb.checks.repeats import repeats
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.columns.columns import fields_of
from schemas.tables import ROW_CLASSES

_PROVENANCE = ("id", "locator", "basis", "confidence", "checked_on", "note", "withdrawn_on", "withdrawn_reason")

_COMPARED_ELSEWHERE = (
    "sources",
    "thread_tolerances",
    "resistances",
    "material_properties",
    "fluid_properties",
    "wetted_materials",
    "rules",
    "rule_conditions",
    "limits",
    "aliases",
)  # by the check that knows what makes two of their rows the same

CODE = "FAC-001"
PROMISE = "No two active rows of a table say the same on the same source."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active row alike in all columns but id, locator, basis, confidence, day and note."""
    for table, row_class in ROW_CLASSES.items():
        if table in tables.rows and table not in _COMPARED_ELSEWHERE:
            columns = _compared_columns(row_class)
            rows = tables.active(row_class)
            for row, earlier in repeats(rows, attrgetter(*columns)):
                yield tables.fault(row, "id", CODE, f"says the same as {earlier.id}", "withdraw one of them")


def _compared_columns(row_class: type[Any]) -> tuple[str, ...]:
    return tuple(field.name for field in fields_of(row_class) if field.name not in _PROVENANCE)
