"""Rules of equal specificity never contradict each other.

Owns: finding two rules that would decide one pair differently. Does not own: resolution (`kb/evidence/rules.py`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from kb.checks.condition_ranges import exclude_each_other
from kb.checks.family_chains import part_chains
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.rule_conditions import RuleCondition
from schemas.tables.rules import Rule

CODE = "RUL-001"
PROMISE = "Two rules that can meet on one pair with equal specificity say the same."

_PART_DEPTH = 100


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every pair of active rules of one topic that contradict each other."""
    chains = part_chains(tables)
    conditions: dict[str, list[RuleCondition]] = {}
    for condition in tables.active(RuleCondition):
        conditions.setdefault(condition.rule_id, []).append(condition)
    for one, other in _differing(tables.active(Rule), chains):
        if not _can_meet(one, other, chains):
            continue
        first, second = conditions.get(one.id, []), conditions.get(other.id, [])
        equal = _specificity(one, chains, first) == _specificity(other, chains, second)
        if equal and not exclude_each_other(first, second):
            yield _fault(tables, one, other)


def _differing(rules: Sequence[Rule], chains: Mapping[str, tuple[str, ...]]) -> Iterator[tuple[Rule, Rule]]:
    """Yield every two rules of one topic that say different things, unless no side of one is above a side of the other.

    Looking all others over, too, would take ten times as long.
    """
    by_side: dict[tuple[str, str], list[int]] = defaultdict(list)
    for place, rule in enumerate(rules):
        for side in {rule.subject_id, rule.object_id}:
            by_side[rule.topic, side].append(place)
    pairs = {
        (min(place, other), max(place, other))
        for place, rule in enumerate(rules)
        for side in (rule.subject_id, rule.object_id)
        for above in chains.get(side, ())
        for other in by_side.get((rule.topic, above), ())
        if _says(rule) != _says(rules[other])
    }
    yield from ((rules[one], rules[other]) for one, other in sorted(pairs))


def _says(rule: Rule) -> tuple[str, str]:
    """Return what a rule comes to: its level, and what it asks for."""
    return rule.level.value, rule.requirement_id or ""


def _fault(tables: Tables, one: Rule, other: Rule) -> Fault:
    what = f"says {one.level.value} where {other.id} says {other.level.value} with equal specificity"
    fix = "make one of them more specific, give them conditions that exclude each other, or withdraw one"
    return tables.fault(one, "level", CODE, what, fix)


def _specificity(rule: Rule, chains: Mapping[str, tuple[str, ...]], conditions: list[RuleCondition]) -> tuple[int, int]:
    depth = sum(
        len(chains.get(side, ())) if side.startswith("family/") else _PART_DEPTH
        for side in (rule.subject_id, rule.object_id)
    )
    return depth, len(conditions)


def _can_meet(one: Rule, other: Rule, chains: Mapping[str, tuple[str, ...]]) -> bool:
    def related(first: str, second: str) -> bool:
        return first in chains.get(second, ()) or second in chains.get(first, ())

    straight = related(one.subject_id, other.subject_id) and related(one.object_id, other.object_id)
    crossed = related(one.subject_id, other.object_id) and related(one.object_id, other.subject_id)
    return straight or (crossed and not (one.is_directed and other.is_directed))
