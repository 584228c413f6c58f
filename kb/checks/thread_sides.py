"""A thread stands only on the side that its designation allows.

Owns: threads of ports, ends and tolerances on the wrong side. Does not own: whether the thread exists.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.fitting_ends import EndKind, FittingEnd
from schemas.tables.ports import Port
from schemas.tables.thread_tolerances import ThreadSide, ThreadTolerance
from schemas.tables.threads import Thread, ThreadGender

CODE = "THR-005"
PROMISE = "A thread stands only on the side that its designation allows."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active row that puts an external thread inside or an internal one outside."""
    genders = {thread.id: thread.gender for thread in tables.of(Thread)}
    for row, side in _sides(tables):
        gender = genders.get(row.thread_id, ThreadGender.EITHER)
        if gender not in (ThreadGender.EITHER, side):
            what = f"{row.thread_id} is {gender.value} only, but stands here as {side.value}"
            yield tables.fault(row, "thread_id", CODE, what, "name the thread of the other side, such as Rc for R")


def _sides(tables: Tables) -> Iterator[tuple[Any, ThreadGender]]:
    for port in tables.active(Port):
        yield port, ThreadGender.INTERNAL
    for end in tables.active(FittingEnd):
        if end.end_kind is EndKind.MALE_THREAD:
            yield end, ThreadGender.EXTERNAL
        elif end.end_kind is EndKind.FEMALE_THREAD:
            yield end, ThreadGender.INTERNAL
    for row in tables.active(ThreadTolerance):
        yield row, ThreadGender.EXTERNAL if row.side is ThreadSide.EXTERNAL else ThreadGender.INTERNAL
