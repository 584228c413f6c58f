"""Rules of equal specificity never contradict each other.

Owns: finding two rules that would decide one pair differently. Does not own: resolution (`kb/rules.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations

from kb.faults import Fault
from kb.table_rows import Tables
from schemas.tables.families import Family
from schemas.tables.rule_conditions import Operator, RuleCondition
from schemas.tables.rules import Rule

CODE = "RUL-001"
PROMISE = "Two rules that can meet on one pair with equal specificity say the same."

_PART_DEPTH = 100
_LOWER = (Operator.MORE, Operator.AT_LEAST, Operator.EQUAL)
_UPPER = (Operator.LESS, Operator.AT_MOST, Operator.EQUAL)


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every pair of standing rules of one topic that contradict each other."""
    chains = _chains(tables)
    conditions: dict[str, list[RuleCondition]] = {}
    for condition in tables.of(RuleCondition):
        conditions.setdefault(condition.rule_id, []).append(condition)
    standing = [rule for rule in tables.of(Rule) if rule.withdrawn_on is None]
    for one, other in combinations(standing, 2):
        if one.topic is not other.topic or one.verdict is other.verdict:
            continue
        first, second = conditions.get(one.id, []), conditions.get(other.id, [])
        if _specificity(one, chains, first) == _specificity(other, chains, second) and _can_meet(one, other, chains):
            if not _exclude_each_other(first, second):
                yield _fault(tables, one, other)


def _fault(tables: Tables, one: Rule, other: Rule) -> Fault:
    what = f"says {one.verdict.value} where {other.id} says {other.verdict.value} with equal specificity"
    fix = "make one of them more specific, give them conditions that exclude each other, or withdraw one"
    return tables.fault(one, "verdict", CODE, what, fix)


def _chains(tables: Tables) -> dict[str, tuple[str, ...]]:
    parents = {family.id: family.parent_id for family in tables.of(Family)}
    chains: dict[str, tuple[str, ...]] = {}
    for family in parents:
        chain: list[str] = []
        step: str | None = family
        while step is not None and step not in chain:
            chain.append(step)
            step = parents.get(step)
        chains[family] = tuple(chain)
    for rows in tables.rows.values():
        for row in rows:
            if row.id not in chains and hasattr(row, "family_id"):
                chains[row.id] = (row.id, *chains.get(row.family_id, ()))
    return chains


def _specificity(rule: Rule, chains: Mapping[str, tuple[str, ...]], conditions: list[RuleCondition]) -> tuple[int, int]:
    depth = sum(
        len(chains[side]) if side.startswith("family/") else _PART_DEPTH for side in (rule.subject_id, rule.object_id)
    )
    return depth, len(conditions)


def _can_meet(one: Rule, other: Rule, chains: Mapping[str, tuple[str, ...]]) -> bool:
    def related(first: str, second: str) -> bool:
        return first in chains.get(second, ()) or second in chains.get(first, ())

    straight = related(one.subject_id, other.subject_id) and related(one.object_id, other.object_id)
    crossed = related(one.subject_id, other.object_id) and related(one.object_id, other.subject_id)
    return straight or (crossed and not (one.is_directed and other.is_directed))


def _exclude_each_other(first: list[RuleCondition], second: list[RuleCondition]) -> bool:
    return any(
        _disjoint(one, other) or _disjoint(other, one)
        for one in first
        for other in second
        if one.quantity_id == other.quantity_id
    )


def _disjoint(low: RuleCondition, high: RuleCondition) -> bool:
    """Return whether everything under `low` lies below everything under `high`."""
    if low.operator not in _UPPER or high.operator not in _LOWER:
        return False
    if low.value != high.value:
        return low.value < high.value
    return low.operator is Operator.LESS or high.operator is Operator.MORE
