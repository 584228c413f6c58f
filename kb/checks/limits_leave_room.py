"""The limits of a quantity leave values that break none of them.

Owns: comparing lower with upper limits. Does not own: limits of one side (`limits_climb.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.checks.limit_ladders import limit_ladders
from kb.store.faults import Fault
from kb.store.typed_rows import Tables

CODE = "LIM-004"
PROMISE = "The limits of a quantity leave values that break none of them."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every ladder whose tightest lower limit lies above its tightest upper one."""
    for ladder in limit_ladders(tables):
        if not ladder.at_least or not ladder.at_most:
            continue
        lower = max(ladder.at_least, key=lambda limit: limit.value)
        upper = min(ladder.at_most, key=lambda limit: limit.value)
        if lower.value > upper.value and ladder.family_id in (lower.family_id, upper.family_id):
            what = f"at least {lower.value:g} and at most {upper.value:g} ({upper.id}) leave no value"
            yield tables.fault(lower, "value", CODE, what, "mend one of the two values")
