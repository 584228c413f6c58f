"""A limit can be broken.

Owns: holding limits against what their unit allows. Does not own: limits against each other (`limits_leave_room.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.checks.unit_floors import FLOORS
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.limits import Comparison, Limit

CODE = "LIM-005"
PROMISE = "A limit can be broken."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active lower limit below which nothing can lie."""
    for limit in tables.active(Limit):
        if limit.comparison is Comparison.AT_LEAST and limit.value == FLOORS.get(limit.unit):
            what = f"nothing lies below {limit.value:g} {limit.unit}"
            yield tables.fault(limit, "value", CODE, what, "fix the value or the comparison, or withdraw the limit")
