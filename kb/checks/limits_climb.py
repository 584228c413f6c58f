"""Within one limit set the more severe level lies further out.

Owns: comparing limits of one quantity and side. Does not own: both sides together (`limits_leave_room.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from kb.checks.limit_sets import limit_sets
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.level import Level
from schemas.tables.limits import Comparison, Limit

CODE = "LIM-002"
PROMISE = "Within one limit set the more severe level lies further out."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every two neighbours in a limit set whose levels and values do not climb together."""
    for limit_set in limit_sets(tables):
        for mild, severe in (*pairwise(limit_set.at_least), *pairwise(limit_set.at_most)):
            if _is_own(limit_set.family_id, mild, severe) and not _lies_further_out(severe, mild):
                what = f"{severe.level.value} at {severe.value:g} does not lie outside {mild.id} at {mild.value:g}"
                fix = f"move it further out than {mild.value:g}, or exchange the levels"
                yield tables.fault(severe, "value", CODE, what, fix)


def _is_own(family_id: str, mild: Limit, severe: Limit) -> bool:
    """Return whether two limits are to climb: a note that a family inherits may be drowned by a warning of its own."""
    if mild.level is Level.NOTE:
        return mild.family_id == family_id
    return family_id in (mild.family_id, severe.family_id)


def _lies_further_out(severe: Limit, mild: Limit) -> bool:
    return severe.value < mild.value if severe.comparison is Comparison.AT_LEAST else severe.value > mild.value
