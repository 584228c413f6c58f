"""Limits, conditions and assumptions are written in the unit of their quantity.

Owns: holding units against quantities.csv. Does not own: which units there are (`schemas/tables/quantities.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.assumptions import Assumption
from schemas.tables.limits import Limit
from schemas.tables.quantities import Quantity
from schemas.tables.rule_conditions import RuleCondition

CODE = "UNI-001"
PROMISE = "Limits, conditions and assumptions are written in the unit of their quantity."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every row whose unit is not that of its quantity."""
    units = {quantity.id: quantity.unit for quantity in tables.of(Quantity)}
    rows: tuple[Limit | RuleCondition | Assumption, ...] = (
        *tables.of(Limit),
        *tables.of(RuleCondition),
        *tables.of(Assumption),
    )
    for row in rows:
        unit = units.get(row.quantity_id, row.unit)
        if row.unit != unit:
            what = f"the unit is {row.unit}, but {row.quantity_id} is given in {unit}"
            yield tables.fault(row, "unit", CODE, what, f"convert the value and write {unit}")
