"""A thread has either a pitch in millimetres or threads per inch.

Owns: finding threads with none or both. Does not own: diameters (`thread_diameters.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.threads import Thread

CODE = "THR-001"
PROMISE = "A thread has either a pitch in millimetres or threads per inch."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active thread that has none of the two, or both."""
    for thread in tables.active(Thread):
        if (thread.pitch_mm is None) is (thread.threads_per_inch is None):
            number = "neither is" if thread.pitch_mm is None else "both are"
            what = f"{number} given: pitch and threads per inch"
            yield tables.fault(thread, "pitch_mm", CODE, what, "fill the one that the source prints, no other")
