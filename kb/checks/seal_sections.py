"""The section of an O-ring is smaller than its inside.

Owns: comparing section and inside of an O-ring. Does not own: how an O-ring is compressed (limits over computed
quantities).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.seals import Seal

CODE = "SEA-001"
PROMISE = "The section of an O-ring is smaller than its inside."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active ring as thick as it is wide inside, or thicker."""
    for seal in tables.active(Seal):
        if seal.section_mm is not None and seal.o_ring_id_mm is not None and seal.section_mm >= seal.o_ring_id_mm:
            what = f"{seal.section_mm:g} is not smaller than o_ring_id_mm {seal.o_ring_id_mm:g}"
            yield tables.fault(seal, "section_mm", CODE, what, "hold both against the source; they may be exchanged")
