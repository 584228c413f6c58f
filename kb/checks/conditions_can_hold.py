"""All conditions of one rule can hold together.

Owns: finding rules that can never speak. Does not own: rules that contradict each other (`rules_agree.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from kb.checks.condition_ranges import are_disjoint
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.rule_conditions import RuleCondition

CODE = "CON-001"
PROMISE = "All conditions of one rule can hold together."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every two active conditions of one rule that exclude each other."""
    for one, other in combinations(tables.active(RuleCondition), 2):
        if one.rule_id == other.rule_id and are_disjoint(one, other):
            what = f"{_words(other)} can never hold beside {one.id}: {_words(one)}"
            yield tables.fault(other, "value", CODE, what, "fix one of the values, or make two rules of it")


def _words(condition: RuleCondition) -> str:
    return f"{condition.operator.value} {condition.value:g} {condition.unit}"
