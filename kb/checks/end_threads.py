"""The bore of an end lies inside its thread, its shoulder outside.

Owns: holding bore, shoulder and length of an end against its thread.
Does not own: the other dimensions of an end (`end_dimensions.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.formulas.fit.thread_geometry import pitch_mm
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.fitting_ends import EndKind, FittingEnd
from schemas.tables.threads import Thread

CODE = "END-004"
PROMISE = "The bore of an end lies inside its thread, its shoulder outside."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active threaded end that has no wall, no shoulder or not one whole turn."""
    threads = {thread.id: thread for thread in tables.of(Thread)}
    for end in tables.active(FittingEnd):
        thread = threads.get(end.thread_id or "")
        if thread is not None:
            for column, what in _impossible(end, thread):
                yield tables.fault(end, column, CODE, what, "hold it and the thread against the source")


def _impossible(end: FittingEnd, thread: Thread) -> Iterator[tuple[str, str]]:
    core = thread.minor_mm or thread.major_mm
    bore, shoulder, length = end.bore_mm, end.collar_diameter_mm, end.thread_length_mm
    if end.end_kind is EndKind.MALE_THREAD and core is not None and bore is not None and bore >= core:
        yield "bore_mm", f"a bore of {bore:g} mm leaves no wall in {thread.designation}, {core:g} mm at the root"
    if shoulder is not None and thread.major_mm is not None and shoulder <= thread.major_mm:
        yield "collar_diameter_mm", f"{shoulder:g} mm does not reach over {thread.designation}, {thread.major_mm:g} mm"
    pitch = thread.pitch_mm or (pitch_mm(thread.threads_per_inch) if thread.threads_per_inch else None)
    if length is not None and pitch is not None and length < pitch:
        yield "thread_length_mm", f"{length:g} mm is less than one turn of {pitch:.3g} mm"
