"""Minor, pitch and major diameter of a thread grow in this order.

Owns: the order of the diameters. Does not own: their values (`thread_form.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.threads import Thread

CODE = "THR-002"
PROMISE = "Minor, pitch and major diameter of a thread grow in this order."

_INWARDS_OUT = ("minor_mm", "pitch_diameter_mm", "major_mm")


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every two given diameters of an active thread that stand in the wrong order."""
    for thread in tables.active(Thread):
        given = [(name, getattr(thread, name)) for name in _INWARDS_OUT if getattr(thread, name) is not None]
        for (inner, small), (outer, large) in pairwise(given):
            if small >= large:
                what = f"{inner} {small:g} is not smaller than {outer} {large:g}"
                yield tables.fault(thread, inner, CODE, what, "hold both against the page; they may be exchanged")
