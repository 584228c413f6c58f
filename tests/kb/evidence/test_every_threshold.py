"""Every condition and every limit of the tables, held at its own value and just beside it.

The expected outcome is written out here from the sign in the row; the program's table of signs is not asked.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from functools import cache
from itertools import product

import pytest
from written_signs import BELOW_AT_ABOVE

import kb
from kb.evidence.limits import judge_number
from kb.evidence.rules import rule_findings
from kb.evidence.tree import LimitCheck, Number, RuleHit
from schemas.tables.limits import Limit
from schemas.tables.quantities import Quantity
from schemas.tables.rule_conditions import RuleCondition
from schemas.tables.rules import Rule

SNAPSHOT = kb.load().snapshot
NUDGE = 1e-4


def found_in(condition: RuleCondition, value: float) -> bool | None:
    """Return whether a condition is told to hold at a value, where its rule alone is sought."""
    rule = SNAPSHOT.get(Rule, condition.rule_id)
    keys = ((rule.subject_id,), (rule.object_id,))
    stated = {one.quantity_id: one.value for one in conditions_of()[rule.id]} | {condition.quantity_id: value}
    for finding in rule_findings(SNAPSHOT, keys, "here", stated):
        for node in finding.evidence:
            if isinstance(node, RuleHit) and node.rule.id == rule.id:
                return next(check.holds for check in node.conditions if check.condition.id == condition.id)
    return None


@cache
def conditions_of() -> Mapping[str, list[RuleCondition]]:
    found = defaultdict(list)
    for one in SNAPSHOT.active(RuleCondition):
        found[one.rule_id].append(one)
    return found


def test_every_condition_holds_just_where_its_sign_says() -> None:
    seen = set()
    for condition in SNAPSHOT.active(RuleCondition):
        row = SNAPSHOT.get(Quantity, condition.quantity_id)
        sign = condition.operator.value
        for step, expected in zip((-NUDGE, 0.0, NUDGE), BELOW_AT_ABOVE[sign], strict=True):
            value = condition.value + step
            if row.least <= value <= row.most:
                told = found_in(condition, value)
                assert told in (expected, None), (condition.id, value)
                seen.add((condition.id, told))
    kept = {one for one, told in seen if told is not None}
    assert len(kept) > 0.9 * len(list(SNAPSHOT.active(RuleCondition)))  # the others are outdone by a deeper rule


def limits() -> list[Limit]:
    return list(SNAPSHOT.active(Limit))


@pytest.mark.parametrize("step", [-NUDGE, 0.0, NUDGE])
def test_every_limit_breaks_just_beyond_its_value(step: float) -> None:
    """Met exactly it holds, for a figure that is only rounded differently must not break it."""
    for limit in limits():
        value = limit.value + step * max(1.0, abs(limit.value))
        finding = judge_number(SNAPSHOT, Number(limit.quantity_id, value, ()), (limit.family_id,), "here")
        checks = [node for node in finding.evidence if isinstance(node, LimitCheck)]
        assert checks, limit.id
        for check in checks:
            room = (
                value - check.limit.value if check.limit.comparison.value == "at-least" else check.limit.value - value
            )
            assert check.holds is (room > -NUDGE / 2), (limit.id, check.limit.id)
        is_beyond = step < 0 if limit.comparison.value == "at-least" else step > 0
        assert not is_beyond or not checks[0].holds, limit.id


def test_a_broken_limit_names_its_own_requirement_and_its_own_level() -> None:
    broken = 0
    for limit, beyond in product(limits(), (-1e6, 1e6)):
        finding = judge_number(SNAPSHOT, Number(limit.quantity_id, beyond, ()), (limit.family_id,), "here")
        (check, *others) = (node for node in finding.evidence if isinstance(node, LimitCheck))
        named = finding.requirement.id if finding.requirement is not None else None
        if check.holds:
            assert named is None, limit.id
            continue
        assert not others and named == check.limit.requirement_id, limit.id
        assert finding.judgement.value == check.limit.level.value, limit.id
        broken += 1
    assert broken > len(limits()) / 2


def test_of_several_broken_limits_the_most_severe_one_is_told() -> None:
    order = ("note", "warning", "error")
    tried = 0
    for limit in limits():
        others = [
            one
            for one in limits()
            if (one.quantity_id, one.family_id, one.comparison)
            == (limit.quantity_id, limit.family_id, limit.comparison)
        ]
        if len(others) < 2:
            continue
        sign = -1 if limit.comparison.value == "at-least" else 1
        beyond = sign * max(sign * one.value for one in others) + sign * 1.0
        finding = judge_number(SNAPSHOT, Number(limit.quantity_id, beyond, ()), (limit.family_id,), "here")
        assert finding.judgement.value == max((one.level.value for one in others), key=order.index), limit.id
        tried += 1
    assert tried >= 4
