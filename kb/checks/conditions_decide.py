"""A condition can hold and can fail.

Owns: holding conditions against what their unit allows.
Does not own: conditions of one rule against each other (`conditions_can_hold.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.checks.unit_floors import FLOORS
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.rule_conditions import Operator, RuleCondition

_DECIDED = (Operator.AT_LEAST, Operator.LESS)

CODE = "CON-003"
PROMISE = "A condition can hold and can fail."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active condition that always or never holds, whatever the quantity is."""
    for row in tables.active(RuleCondition):
        if row.value == FLOORS.get(row.unit) and row.operator in _DECIDED:
            word = "always" if row.operator is Operator.AT_LEAST else "never"
            what = f"{row.operator.value} {row.value:g} {row.unit} {word} holds: nothing lies lower"
            yield tables.fault(row, "operator", CODE, what, "turn the comparison round, fix the value, or withdraw it")
