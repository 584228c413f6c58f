"""Every thread and side with tolerances has exactly one default class, the widest.

Owns: the default among tolerance classes. Does not own: the deviations (`thread_deviations.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.thread_tolerances import ThreadSide, ThreadTolerance

CODE = "THT-001"
PROMISE = "Every thread and side with tolerances has exactly one default class, the widest."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every thread and side with no default, several, or one narrower than another class."""
    groups: dict[tuple[str, ThreadSide], list[ThreadTolerance]] = {}
    for row in tables.active(ThreadTolerance):
        groups.setdefault((row.thread_id, row.side), []).append(row)
    for rows in groups.values():
        defaults = [row for row in rows if row.is_default]
        widest = max(rows, key=_width)
        if len(defaults) != 1:
            what = f"{len(defaults)} of {len(rows)} classes of this thread and side are the default"
            yield tables.fault(widest, "is_default", CODE, what, "write yes in the widest class alone")
        elif _width(defaults[0]) < _width(widest):
            what = f"is the default, but {widest.id} is wider"
            yield tables.fault(defaults[0], "is_default", CODE, what, "write yes in the widest class alone")


def _width(row: ThreadTolerance) -> float:
    if row.pitch_diameter_lower_mm is None or row.pitch_diameter_upper_mm is None:
        return 0.0
    return row.pitch_diameter_upper_mm - row.pitch_diameter_lower_mm
