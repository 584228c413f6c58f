"""One fluid or family has one usual value of a quantity.

Owns: finding fluid and quantity that stand twice. Does not own: units (`units_agree.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.checks.repeats import repeats
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.fluid_properties import FluidProperty

CODE = "FLP-001"
PROMISE = "One fluid or family has one usual value of a quantity."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active row that repeats fluid and quantity of an earlier one."""
    for row, earlier in repeats(tables.active(FluidProperty), lambda row: (row.subject_id, row.quantity_id)):
        what = f"{earlier.id} says it already"
        yield tables.fault(row, "quantity_id", CODE, what, "keep the worst usual value and withdraw the other")
