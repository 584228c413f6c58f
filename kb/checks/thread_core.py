"""The pitch of a thread leaves a core inside it.

Owns: holding pitch against diameter. Does not own: printed minor diameters (`thread_form.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from math import radians, tan

from kb.formulas.fit.thread_geometry import pitch_mm
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.threads import Thread

CODE = "THR-006"
PROMISE = "The pitch of a thread leaves a core inside it."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active thread whose sharp flanks would meet in its middle."""
    for thread in tables.active(Thread):
        metric = thread.pitch_mm is not None
        pitch = thread.pitch_mm or (pitch_mm(thread.threads_per_inch) if thread.threads_per_inch else None)
        if pitch is None or thread.major_mm is None:
            continue
        sharp_depth = pitch / (2 * tan(radians(thread.form_angle_deg / 2)))
        if 2 * sharp_depth >= thread.major_mm:
            what = f"a pitch of {pitch:.3g} mm cuts through {thread.major_mm:g} mm"
            column = "pitch_mm" if metric else "threads_per_inch"
            yield tables.fault(thread, column, CODE, what, "threads per inch and pitch have their own columns")
