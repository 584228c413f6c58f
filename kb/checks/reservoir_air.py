"""A reservoir holds more than the air that stays in it.

Owns: holding air against volume. Does not own: how much a loop needs.
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.reservoirs import Reservoir

CODE = "RSV-001"
PROMISE = "A reservoir holds more than the air that stays in it."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active reservoir filled with air alone."""
    for row in tables.active(Reservoir):
        if row.air_ml >= row.volume_ml:
            what = f"{row.air_ml:g} ml of air leave nothing of {row.volume_ml:g} ml"
            yield tables.fault(row, "air_ml", CODE, what, "exchange the two, or correct the one")
