"""The low figure of a block is not above its usual one, nor that above the high one.

Owns: comparing low, usual and high figures of a block. Does not own: shares of heat (`block_shares.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.blocks import Block

CODE = "BLK-001"
PROMISE = "The low figure of a block is not above its usual one, nor that above the high one."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active block whose drops or thermal resistances are out of order."""
    for block in tables.active(Block):
        if not block.drop_low_kpa <= block.drop_kpa <= block.drop_high_kpa:
            what = f"{block.drop_kpa:g} kPa is not between {block.drop_low_kpa:g} and {block.drop_high_kpa:g} kPa"
            yield tables.fault(block, "drop_kpa", CODE, what, "write the three drops in the order of their size")
        low, high = block.thermal_resistance_low_k_per_w, block.thermal_resistance_high_k_per_w
        if low > high:
            what = f"{low:g} K/W is above the high figure, {high:g} K/W"
            yield tables.fault(block, "thermal_resistance_low_k_per_w", CODE, what, "exchange the two")
