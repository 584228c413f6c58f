"""The full thread of a port is no deeper than its drill.

Owns: the depths of one port. Does not own: how deep a fitting goes (limits over computed quantities).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.ports import Port

CODE = "POR-001"
PROMISE = "The full thread of a port is no deeper than its drill."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active port whose full thread reaches deeper than the drilled hole."""
    for port in tables.active(Port):
        thread, drill = port.thread_depth_min_mm, port.drill_depth_min_mm
        if thread is not None and drill is not None and thread > drill:
            what = f"full thread {thread:g} mm is deeper than the drill {drill:g} mm"
            fix = "exchange them if they stand in each other's columns"
            yield tables.fault(port, "thread_depth_min_mm", CODE, what, fix)
