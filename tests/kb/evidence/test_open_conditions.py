"""A rule of which nobody knows whether it holds: never taken as met, never as absent.

The tables are made here: one or two rules about one pair, with one or two conditions, and no figure that stands in for
what nobody states. So each case is the whole of what is known.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import product

import pytest

import kb
from kb.compatibility.pair import PairDecision, decide_pair
from kb.parts.resolver import Resolver
from kb.store.frozen import BuiltTables
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.tables import ROW_CLASSES
from schemas.tables.rule_conditions import Operator, RuleCondition
from schemas.tables.rules import Rule, RuleTopic
from schemas.verdict import Verdict

SOUND = kb.load().snapshot
EMPTY = ("rules", "rule_conditions", "fluid_properties", "assumptions", "disputes", "material_properties")
A, B = "metal/copper", "fluid/distilled-water"
CHLORIDE, HARDNESS = "quantity/chloride", "quantity/hardness"


def rule(name: str, level: Judgement, topic: RuleTopic = RuleTopic.CONTACT, subject: str = A) -> Rule:
    like = SOUND.get(Rule, "rule/copper-in-tap-water")
    named = "requirement/copper-inhibitor" if level is Judgement.WARNING else None
    return replace(
        like, id=f"rule/{name}", topic=topic, subject_id=subject, object_id=B, level=level, requirement_id=named
    )


def condition(rule_name: str, quantity: str, operator: Operator, value: float) -> RuleCondition:
    like = next(iter(SOUND.active(RuleCondition)))
    name = f"condition/{rule_name}-{quantity.removeprefix('quantity/')}"
    return replace(
        like, id=name, rule_id=f"rule/{rule_name}", quantity_id=quantity, operator=operator, value=value, unit="mg/l"
    )


@cache
def kept() -> dict[str, tuple[object, ...]]:
    return {table: tuple(SOUND.all_rows(table)) for table in ROW_CLASSES if table not in EMPTY}


def decided(rules: list[Rule], conditions: list[RuleCondition], **stated: float) -> PairDecision:
    rows = {table: kept().get(table, ()) for table in ROW_CLASSES}
    rows |= {"rules": tuple(rules), "rule_conditions": tuple(conditions)}
    snapshot = Snapshot(BuiltTables(rows, SOUND.version, "0" * 64))
    resolver = Resolver(snapshot)
    named = {f"quantity/{name}": value for name, value in stated.items()}
    return decide_pair(snapshot, resolver.archetype(A, "a"), resolver.archetype(B, "b"), named)


@pytest.mark.parametrize("level", [one for one in Judgement if one is not Judgement.GAP])
@pytest.mark.parametrize("operator", [Operator.MORE, Operator.LESS, Operator.AT_LEAST, Operator.AT_MOST])
def test_a_rule_about_the_whole_that_may_not_hold_leaves_the_pair_unknown(level: Judgement, operator: Operator) -> None:
    """Whatever it would say: nothing else speaks of the pair, so nobody knows."""
    found = decided([rule("own", level)], [condition("own", CHLORIDE, operator, 40.0)])
    assert found.verdict is Verdict.UNKNOWN
    assert any(one.judgement is Judgement.GAP and one.decides for one in found.joint.findings)


@pytest.mark.parametrize("level", [one for one in Judgement if one is not Judgement.GAP])
def test_a_rule_whose_condition_is_stated_says_its_level_or_nothing(level: Judgement) -> None:
    made = [rule("own", level)], [condition("own", CHLORIDE, Operator.MORE, 40.0)]
    assert decided(*made, chloride=41.0).verdict is level.verdict
    assert decided(*made, chloride=40.0).verdict is Verdict.UNKNOWN


@pytest.mark.parametrize("known", [CHLORIDE, HARDNESS])
def test_of_two_conditions_one_that_is_open_is_enough_to_be_unsure(known: str) -> None:
    """One met and one open is not met: all of them have to hold together."""
    both = [
        condition("own", CHLORIDE, Operator.MORE, 40.0),
        condition("own", HARDNESS, Operator.MORE, 40.0),
    ]
    stated = {known.removeprefix("quantity/"): 50.0}
    found = decided([rule("own", Judgement.ERROR)], both, **stated)
    assert found.verdict is Verdict.UNKNOWN
    assert decided([rule("own", Judgement.ERROR)], both, chloride=50.0, hardness=50.0).verdict is Verdict.INCOMPATIBLE
    missed = {known.removeprefix("quantity/"): 30.0}
    assert all(
        one.judgement is not Judgement.ERROR
        for one in decided([rule("own", Judgement.ERROR)], both, **missed).joint.findings
    )


LEVELS = (Judgement.PASS, Judgement.NOTE, Judgement.WARNING, Judgement.ERROR)
SWALLOWED = pytest.mark.xfail(
    strict=True,
    reason="the note on the open rule takes the place of the rule that surely holds, so nothing sure is left",
)


def beside(sure: Judgement, unsure: Judgement) -> object:
    is_swallowed = sure in (Judgement.PASS, Judgement.NOTE) and unsure is not Judgement.ERROR
    return pytest.param(sure, unsure, marks=[SWALLOWED] if is_swallowed else [])


@pytest.mark.parametrize(("sure", "unsure"), [beside(*both) for both in product(LEVELS, repeat=2)])
def test_beside_a_rule_that_surely_holds_an_open_one_counts_only_if_it_could_be_an_error(
    sure: Judgement, unsure: Judgement
) -> None:
    """The deeper rule is open, the family's rule holds; the more severe of both is told."""
    rules = [rule("deep", unsure), rule("family", sure, subject="family/copper-alloy")]
    found = decided(rules, [condition("deep", CHLORIDE, Operator.MORE, 40.0)])
    open_severity = Verdict.UNKNOWN.severity if unsure is Judgement.ERROR else 0
    assert found.verdict.severity == max(sure.verdict.severity, open_severity)


NEVER = ((Operator.LESS, 0.0), (Operator.MORE, 1e6))
AT_AN_END = ((Operator.AT_MOST, 0.0), (Operator.AT_LEAST, 1e6), (Operator.EQUAL, 40.0), (Operator.EQUAL, 0.0))


@SWALLOWED
@pytest.mark.parametrize(("operator", "value"), NEVER)
def test_an_open_condition_that_no_value_can_meet_makes_no_gap(operator: Operator, value: float) -> None:
    """Chloride is never below nothing or above all there is; such a rule could never become an error."""
    rules = [rule("deep", Judgement.ERROR), rule("family", Judgement.PASS, subject="family/copper-alloy")]
    assert decided(rules, [condition("deep", CHLORIDE, operator, value)]).verdict is Verdict.COMPATIBLE


@pytest.mark.parametrize(
    ("operator", "value", "is_gap"), [*((*one, False) for one in NEVER), *((*one, True) for one in AT_AN_END)]
)
def test_an_error_is_a_gap_where_some_value_could_bring_it(operator: Operator, value: float, is_gap: bool) -> None:
    """The ends of what a quantity can be belong to it."""
    rules = [rule("deep", Judgement.ERROR), rule("family", Judgement.WARNING, subject="family/copper-alloy")]
    found = decided(rules, [condition("deep", CHLORIDE, operator, value)])
    assert found.verdict is (Verdict.UNKNOWN if is_gap else Verdict.CONDITIONAL)


def test_two_open_conditions_make_a_gap_only_if_both_could_hold() -> None:
    rules = [rule("deep", Judgement.ERROR), rule("family", Judgement.WARNING, subject="family/copper-alloy")]
    can, cannot = (condition("deep", CHLORIDE, Operator.MORE, value) for value in (40.0, 1e6))
    other = condition("deep", HARDNESS, Operator.MORE, 40.0)
    assert decided(rules, [can, other]).verdict is Verdict.UNKNOWN
    assert decided(rules, [cannot, other]).verdict is Verdict.CONDITIONAL


@pytest.mark.parametrize("level", [one for one in Judgement if one is not Judgement.GAP])
def test_a_rule_about_one_circumstance_never_speaks_for_the_pair(level: Judgement) -> None:
    """Chloride, acidity and the like can make a verdict worse; alone they leave the pair unknown."""
    found = decided([rule("own", level, RuleTopic.CHLORIDE)], [])
    assert found.verdict.severity == max(level.verdict.severity, Verdict.UNKNOWN.severity)
