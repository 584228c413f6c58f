"""A quantity is given in the unit of its formula, and so is the result of the formula.

Owns: holding units of formulas against quantities.csv and their own symbols. Does not own: which units there are.
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.formulas import Formula
from schemas.tables.quantities import Quantity

CODE = "FOR-003"
PROMISE = "A quantity is given in the unit of its formula, and so is the result of the formula."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every quantity, and every first symbol of a formula, whose unit is not that of the formula."""
    formulas = {row.id: row for row in tables.of(Formula)}
    for row in formulas.values():
        result = row.symbols.split("; ")[0].partition("[")[2].removesuffix("]")
        if row.unit is not None and result != row.unit:
            what = f"the unit is {row.unit}, but the first symbol is given in {result}"
            yield tables.fault(row, "unit", CODE, what, "put the result first among the symbols, with the unit of it")
    for quantity in tables.of(Quantity):
        formula = formulas.get(quantity.formula_id)
        if formula is not None and formula.unit not in (None, quantity.unit):
            what = f"{quantity.formula_id} gives {formula.unit}, but the quantity is in {quantity.unit}"
            yield tables.fault(quantity, "formula_id", CODE, what, "name the formula that gives this quantity")
