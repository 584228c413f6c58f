"""A thread and side has each tolerance class once.

Owns: finding thread, side and class that stand twice. Does not own: the deviations (`thread_deviations.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.checks.repeats import repeats
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.thread_tolerances import ThreadTolerance

CODE = "THT-003"
PROMISE = "A thread and side has each tolerance class once."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active row that repeats thread, side and class of an earlier one."""
    for row, earlier in repeats(
        tables.active(ThreadTolerance), lambda row: (row.thread_id, row.side, row.tolerance_class)
    ):
        what = f"{earlier.id} says it already"
        yield tables.fault(row, "tolerance_class", CODE, what, "withdraw one, or correct its class")
