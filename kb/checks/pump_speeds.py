"""The least speed of a pump lies below its full speed.

Owns: comparing the speeds of a pump. Does not own: its curve (`pump_curves.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.pumps import Pump

CODE = "PMP-002"
PROMISE = "The least speed of a pump lies below its full speed."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active pump that turns no faster at full speed than at its least."""
    for pump in tables.active(Pump):
        least, full = pump.speed_min_rpm, pump.speed_max_rpm
        if least is not None and full is not None and least >= full:
            what = f"{least:g} rpm is not below the full speed, {full:g} rpm"
            yield tables.fault(
                pump, "speed_min_rpm", CODE, what, "exchange the two, or empty the one that is not known"
            )
