"""The range of a quantity spans something and reaches no lower than its unit allows, such as absolute zero.

Owns: ranges of quantities by themselves. Does not own: values within them (`values_in_range.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.checks.unit_floors import FLOORS
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.quantities import Quantity

CODE = "UNI-004"
PROMISE = "The range of a quantity spans something and reaches no lower than its unit allows, such as absolute zero."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every range that ends where or before it begins, or begins below the floor of its unit."""
    for row in tables.of(Quantity):
        floor = FLOORS.get(row.unit)
        if floor is not None and row.least < floor:
            what = f"{row.least:g} {row.unit} lies below {floor:g} {row.unit}, the least there can be"
            yield tables.fault(row, "least", CODE, what, "hold sign and unit against the reason of the range")
        if row.most <= row.least:
            what = f"{row.most:g} is not above the least, {row.least:g}"
            yield tables.fault(row, "most", CODE, what, "exchange the two, or fix one of them")
