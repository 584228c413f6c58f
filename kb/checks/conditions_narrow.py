"""Every condition of a rule narrows it.

Owns: finding conditions that another one of the same rule contains.
Does not own: conditions that exclude each other (`conditions_can_hold.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations

from kb.checks.condition_ranges import implies
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.rule_conditions import RuleCondition

CODE = "CON-002"
PROMISE = "Every condition of a rule narrows it."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active condition that holds whenever another one of its rule does."""
    for one, other in permutations(tables.active(RuleCondition), 2):
        if one.rule_id == other.rule_id and implies(one, other) and not (implies(other, one) and other.id < one.id):
            what = f"holds whenever {one.id} does, so it adds nothing"
            yield tables.fault(other, "value", CODE, what, "withdraw the wider of the two, or fix its value")
