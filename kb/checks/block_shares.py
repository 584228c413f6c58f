"""The shares of heat that a block takes up make the whole.

Owns: adding the shares of a block. Does not own: its other figures (`block_ranges.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.blocks import Block

_ROUNDING_PERCENT = 0.05

CODE = "BLK-002"
PROMISE = "The shares of heat that a block takes up make the whole."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active block whose shares do not sum to 100 %."""
    for block in tables.active(Block):
        whole = block.core_share_percent + block.memory_share_percent + block.vrm_share_percent
        if abs(whole - 100) > _ROUNDING_PERCENT:
            what = f"the shares of core, memory and VRM sum to {whole:g} %"
            yield tables.fault(block, "core_share_percent", CODE, what, "let the three shares sum to 100")
