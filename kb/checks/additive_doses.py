"""The low dose of an additive is not above the high one.

Owns: comparing the doses of an additive. Does not own: what a dose does (rules).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.additives import Additive

CODE = "ADD-001"
PROMISE = "The low dose of an additive is not above the high one."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active additive whose doses are out of order."""
    for row in tables.active(Additive):
        low, high = row.dose_low_mg_per_l, row.dose_high_mg_per_l
        if low is not None and high is not None and low > high:
            yield tables.fault(
                row, "dose_low_mg_per_l", CODE, f"{low:g} mg/l is above {high:g} mg/l", "exchange the two"
            )
