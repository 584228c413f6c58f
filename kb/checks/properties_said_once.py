"""One source says a property of a material under one condition once.

Owns: finding material, property, condition and source that stand twice.
Does not own: rival sources (their rank decides).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.checks.repeats import repeats
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.material_properties import MaterialProperty

CODE = "MAT-004"
PROMISE = "One source says a property of a material under one condition once."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active row that repeats material, property, condition and source of an earlier one."""
    for row, earlier in repeats(
        tables.active(MaterialProperty), lambda row: (row.material_id, row.property, row.condition, row.source_id)
    ):
        what = f"{earlier.id} says it already"
        yield tables.fault(row, "value", CODE, what, "say in the condition what is different, or withdraw one")
