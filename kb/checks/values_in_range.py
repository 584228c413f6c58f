"""No value of a quantity lies outside the range of that quantity.

Owns: holding values of tables against quantities.csv: those of rows that name a quantity, and those of columns that are
declared to be of one. Does not own: the ranges themselves (`quantity_ranges.py`), or values in questions
(`kb/parts/ranges.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.columns.columns import fields_of
from schemas.tables import ROW_CLASSES
from schemas.tables.assumptions import Assumption
from schemas.tables.fluid_properties import FluidProperty
from schemas.tables.limits import Limit
from schemas.tables.quantities import Quantity
from schemas.tables.rule_conditions import RuleCondition

CODE = "UNI-003"
PROMISE = "No value of a quantity lies outside the range of that quantity."

_NAME_THEIR_QUANTITY = (Limit, RuleCondition, Assumption, FluidProperty)


class _Value(NamedTuple):
    row: Any
    column: str
    quantity_id: str


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every value outside the range of its quantity."""
    quantities = {quantity.id: quantity for quantity in tables.of(Quantity)}
    for row, column, quantity_id in (*_named_in_rows(tables), *_declared_columns(tables)):
        value, quantity = getattr(row, column), quantities.get(quantity_id)
        if value is not None and quantity is not None and not quantity.allows(value):
            what = f"{quantity.complaint(value)}, the range of {quantity.id}"
            fix = "hold sign, unit and decimal point against the source; if they are right, fix the range"
            yield tables.fault(row, column, CODE, what, fix)


def _named_in_rows(tables: Tables) -> Iterator[_Value]:
    for row_class in _NAME_THEIR_QUANTITY:
        for row in tables.rows.get(row_class.table, ()):
            yield _Value(row, "value", row.quantity_id)


def _declared_columns(tables: Tables) -> Iterator[_Value]:
    for table, row_class in ROW_CLASSES.items():
        declared = [(field.name, field.column.quantity) for field in fields_of(row_class) if field.column.quantity]
        for row in tables.rows.get(table, ()) if declared else ():
            for column, name in declared:
                yield _Value(row, column, f"quantity/{name}")
