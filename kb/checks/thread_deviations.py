"""Deviations lie in order, and on the side that lets threads meet.

Owns: the sign and order of deviations. Does not own: their size.
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.thread_tolerances import ThreadSide, ThreadTolerance
from schemas.tables.threads import SealsOn, Thread

CODE = "THT-002"
PROMISE = "Deviations lie in order, and on the side that lets threads meet."

_DIAMETERS = ("major", "pitch_diameter", "minor")


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every lower deviation above the upper one, and for deviations on the wrong side of zero.

    Threads that are made tight on the thread stray to both sides of zero and are held to the order alone.
    """
    on_thread = {thread.id for thread in tables.of(Thread) if thread.seals_on is SealsOn.THREAD}
    for row in tables.active(ThreadTolerance):
        for diameter in _DIAMETERS:
            lower, upper = getattr(row, f"{diameter}_lower_mm"), getattr(row, f"{diameter}_upper_mm")
            if lower is not None and upper is not None and lower > upper:
                what = f"{lower:g} lies above the upper deviation {upper:g}"
                yield tables.fault(row, f"{diameter}_lower_mm", CODE, what, "exchange the two")
            elif row.thread_id not in on_thread:
                yield from _wrong_side(tables, row, diameter, lower, upper)


def _wrong_side(
    tables: Tables, row: ThreadTolerance, diameter: str, lower: float | None, upper: float | None
) -> Iterator[Fault]:
    if row.side is ThreadSide.EXTERNAL and upper is not None and upper > 0:
        what = f"{upper:g} makes an external thread larger than basic"
        yield tables.fault(row, f"{diameter}_upper_mm", CODE, what, "hold the sign and the side against the page")
    if row.side is ThreadSide.INTERNAL and lower is not None and lower < 0:
        what = f"{lower:g} makes an internal thread smaller than basic"
        yield tables.fault(row, f"{diameter}_lower_mm", CODE, what, "hold the sign and the side against the page")
