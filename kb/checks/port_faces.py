"""The flat and the chamfer of a port lie outside its thread.

Owns: holding the faces of a port against its thread. Does not own: its depths (`port_depths.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.ports import Port
from schemas.tables.threads import Thread

CODE = "POR-002"
PROMISE = "The flat and the chamfer of a port lie outside its thread."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every flat or chamfer of an active port that is no wider than the thread."""
    majors = {thread.id: thread.major_mm for thread in tables.of(Thread)}
    for port in tables.active(Port):
        major = majors.get(port.thread_id)
        for column in ("spotface_diameter_min_mm", "chamfer_diameter_mm"):
            diameter = getattr(port, column)
            if diameter is not None and major is not None and diameter <= major:
                what = f"{diameter:g} mm lies inside the thread of {major:g} mm"
                yield tables.fault(port, column, CODE, what, "hold the thread and the diameter against the source")
