"""One quantity has one assumption.

Owns: finding the quantity that stand twice. Does not own: its unit (`units_agree.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.checks.repeats import repeats
from kb.faults import Fault
from kb.table_rows import Tables
from schemas.tables.assumptions import Assumption

CODE = "ASM-001"
PROMISE = "One quantity has one assumption."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every standing row that repeats the quantity of an earlier one."""
    for row, earlier in repeats(tables.standing(Assumption), lambda row: row.quantity_id):
        what = f"{earlier.id} says it already"
        yield tables.fault(row, "quantity_id", CODE, what, "withdraw one of them: only one can be used")
