"""Every rule can win where it holds.

Owns: finding rules that another rule always outranks.
Does not own: rules that contradict each other (`rules_agree.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations

from kb.checks.condition_ranges import implies
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.rule_conditions import RuleCondition
from schemas.tables.rules import Rule

CODE = "RUL-002"
PROMISE = "Every rule can win where it holds."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active rule that never speaks: another one on the same pair and topic always does."""
    conditions: dict[str, list[RuleCondition]] = {}
    for condition in tables.active(RuleCondition):
        conditions.setdefault(condition.rule_id, []).append(condition)
    groups: dict[tuple[str, frozenset[str]], list[Rule]] = {}
    for rule in tables.active(Rule):
        groups.setdefault((rule.topic, frozenset((rule.subject_id, rule.object_id))), []).append(rule)
    for rules in groups.values():
        for rule, other in permutations(rules, 2):
            if _covers(other, rule) and _outranks(other, rule, conditions):
                what = f"never wins: {other.id} speaks wherever this rule holds"
                yield tables.fault(rule, "id", CODE, what, "withdraw it, or give it conditions or parts of its own")


def _covers(other: Rule, rule: Rule) -> bool:
    """Return whether the other rule is found in every direction in which this one is."""
    return not other.is_directed or (rule.is_directed and other.subject_id == rule.subject_id)


def _outranks(other: Rule, rule: Rule, conditions: dict[str, list[RuleCondition]]) -> bool:
    theirs, own = conditions.get(other.id, []), conditions.get(rule.id, [])
    is_repeat = len(theirs) == len(own) and other.level is rule.level and other.id < rule.id
    comes_first = len(theirs) > len(own) or is_repeat
    return comes_first and all(any(implies(one, wide) for one in own) for wide in theirs)
