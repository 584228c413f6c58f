"""No value lies below what its unit allows, such as absolute zero.

Owns: holding values against the floor of their unit. Does not own: which unit a quantity has (`units_agree.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.checks.unit_floors import FLOORS
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.assumptions import Assumption
from schemas.tables.fluid_properties import FluidProperty
from schemas.tables.limits import Limit
from schemas.tables.rule_conditions import RuleCondition

CODE = "UNI-002"
PROMISE = "No value lies below what its unit allows, such as absolute zero."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every limit, condition, assumption and usual value below the floor of its unit."""
    rows: tuple[Limit | RuleCondition | Assumption | FluidProperty, ...] = (
        *tables.of(Limit),
        *tables.of(RuleCondition),
        *tables.of(Assumption),
        *tables.of(FluidProperty),
    )
    for row in rows:
        floor = FLOORS.get(row.unit)
        if floor is not None and row.value < floor:
            what = f"{row.value:g} {row.unit} lies below {floor:g} {row.unit}, the least there can be"
            yield tables.fault(row, "value", CODE, what, "hold sign and unit against the source")
