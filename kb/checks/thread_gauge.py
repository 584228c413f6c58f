"""Taper threads carry a gauge length, parallel ones none.

Owns: whether a gauge length is there. Does not own: its value (no formula gives it).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.threads import Thread

CODE = "THR-004"
PROMISE = "Taper threads carry a gauge length, parallel ones none."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active taper thread without, and every parallel one with a gauge length."""
    for thread in tables.active(Thread):
        is_taper = thread.taper_on_diameter > 0
        if is_taper is (thread.gauge_length_mm is None):
            what = "is empty in a taper thread" if is_taper else "is filled in a parallel thread"
            fix = "write the gauge length, or taper 0" if is_taper else "empty it, or write the taper"
            yield tables.fault(thread, "gauge_length_mm", CODE, what, fix)
