"""The limits of a quantity leave values that break none of them.

Owns: comparing lower with upper limits. Does not own: limits of one side (`limits_climb.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.checks.limit_sets import limit_sets
from kb.store.faults import Fault
from kb.store.typed_rows import Tables

CODE = "LIM-004"
PROMISE = "The limits of a quantity leave values that break none of them."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every limit set whose tightest lower limit lies above its tightest upper one."""
    for limit_set in limit_sets(tables):
        if not limit_set.at_least or not limit_set.at_most:
            continue
        lower = max(limit_set.at_least, key=lambda limit: limit.value)
        upper = min(limit_set.at_most, key=lambda limit: limit.value)
        if lower.value > upper.value and limit_set.family_id in (lower.family_id, upper.family_id):
            what = f"at least {lower.value:g} and at most {upper.value:g} ({upper.id}) leave no value"
            yield tables.fault(lower, "value", CODE, what, "fix one of the two values")
