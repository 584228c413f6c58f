"""One quantity, family, side and level has one limit.

Owns: finding limits of which one would never be heard. Does not own: their order (`limits_climb.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.limits import Limit

CODE = "LIM-003"
PROMISE = "One quantity, family, side and level has one limit."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active limit that repeats quantity, family, comparison and level of another."""
    first: dict[tuple[str, str, str, str], Limit] = {}
    for limit in tables.active(Limit):
        earlier = first.setdefault((limit.quantity_id, limit.family_id, limit.comparison, limit.level), limit)
        if earlier is not limit:
            what = f"says the same of the same as {earlier.id}, so only one of them is heard"
            yield tables.fault(limit, "level", CODE, what, "withdraw one of them, or give them two levels")
