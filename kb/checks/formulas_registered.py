"""Every formula of the table is a function, and every function of the registry stands in the table.

Owns: holding the ids of both together. Does not own: what a formula gives (its worked example is a test).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.formulas import Formula

CODE = "FOR-001"
PROMISE = "Every formula of the table is a function, and every function of the registry stands in the table."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active row without a function, and for every function without a row."""
    from kb.formulas.registry import FORMULAS  # noqa: PLC0415 - loads every formula, and only curators need that

    for row in tables.active(Formula):
        if row.id not in FORMULAS:
            fix = "register its function in kb/formulas/registry.py, or take the row out"
            yield tables.fault(row, "id", CODE, "no function is registered under this id", fix)
    known = {row.id for row in tables.of(Formula)}
    for formula in FORMULAS:
        if formula not in known:
            what = f"{formula} is registered, and no row describes it"
            yield Fault(f"{Formula.table}.csv", 1, "id", CODE, formula, what, "add its row")
