"""On one ladder of limits the more severe verdict lies further out.

Owns: comparing limits of one quantity and side. Does not own: both sides together (`limits_leave_room.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from kb.checks.limit_ladders import limit_ladders
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.limits import Comparison, Limit

CODE = "LIM-002"
PROMISE = "On one ladder of limits the more severe verdict lies further out."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every two neighbours on a ladder whose verdicts and values do not climb together."""
    for ladder in limit_ladders(tables):
        for mild, severe in (*pairwise(ladder.at_least), *pairwise(ladder.at_most)):
            if ladder.family_id in (mild.family_id, severe.family_id) and not _lies_further_out(severe, mild):
                what = f"{severe.verdict.value} at {severe.value:g} does not lie outside {mild.id} at {mild.value:g}"
                fix = f"move it further out than {mild.value:g}, or exchange the verdicts"
                yield tables.fault(severe, "value", CODE, what, fix)


def _lies_further_out(severe: Limit, mild: Limit) -> bool:
    return severe.value < mild.value if severe.comparison is Comparison.AT_LEAST else severe.value > mild.value
