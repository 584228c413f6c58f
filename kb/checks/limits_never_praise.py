"""Breaking a limit is never compatible.

Owns: finding limits without consequence. Does not own: how limits stand to each other (`limits_climb.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.limits import Limit
from schemas.verdict import Verdict

CODE = "LIM-001"
PROMISE = "Breaking a limit is never compatible."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every limit whose verdict outside is `compatible`."""
    for limit in tables.of(Limit):
        if limit.verdict is Verdict.COMPATIBLE:
            fix = "write conditional, unknown or incompatible, or delete the limit"
            yield tables.fault(limit, "verdict", CODE, "is compatible outside the limit", fix)
