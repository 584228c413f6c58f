"""What every verdict on substances keeps: severity, openness, and reasons that carry it alone.

Nothing here names a threshold: the values that are tried are taken from the conditions of the rules
themselves, on either side of each.
"""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from functools import cache
from itertools import pairwise, product
from typing import Any

import pytest

import kb
from kb.compatibility.joints.joint import Joint
from kb.compatibility.pair import PairDecision, decide_pair
from kb.evidence.rules import RULE_NOT_MET
from kb.evidence.tree import Finding, RuleHit, cited_rows
from kb.knowledge_base import KnowledgeBase
from kb.parts.resolver import Resolver
from kb.store.faults import QuestionError
from kb.store.frozen import BuiltTables
from kb.store.snapshot import Snapshot
from schemas.level import Judgement, RequirementState
from schemas.tables import ROW_CLASSES
from schemas.tables.fluids import Fluid
from schemas.tables.quantities import Quantity
from schemas.tables.rule_conditions import Operator, RuleCondition
from schemas.tables.rules import Rule
from schemas.verdict import Verdict

BASE = kb.load()
MATERIALS, FLUIDS, ADDITIVES = (BASE.snapshot.ids((table,)) for table in ("materials", "fluids", "additives"))
SHARE = 3  # one of so many is drawn, by a seed of its own; tried once with all


def drawn(ones: Iterable[Any]) -> list[Any]:
    """Return one of `SHARE` of some things, by chance that is always the same."""
    listed = list(ones)
    return random.Random(len(listed)).sample(listed, len(listed) // SHARE)


FRAME = (
    "sources",
    "quantities",
    "formulas",
    "cautions",
    "families",
    "messages",
)  # what cited rows refer to; none of it decides
USUAL = ("fluid_properties", "assumptions")  # what stands in where nobody states anything
COARSE = {
    "chloride": (0.0, 300.0, 3000.0),
    "hardness": (0.0, 300.0, 3000.0),
    "coolant-temperature": (0.0, 20.0, 40.0, 60.0, 80.0, 100.0, 140.0),
    "ph": (0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.0, 14.0),
}
WORSE_UPWARDS = ("chloride", "hardness", "coolant-temperature")
PORT = {"in": "port/g-1-4-loop"}
NUDGE = 1e-3


@cache
def thresholds(quantity: str) -> tuple[tuple[str, str, float], ...]:
    """Return the value of every condition on a quantity, with the subject and object of its rule."""
    found = []
    for one in BASE.snapshot.active(RuleCondition):
        if one.quantity_id == f"quantity/{quantity}":
            rule = BASE.snapshot.get(Rule, one.rule_id)
            found.append((rule.subject_id, rule.object_id, one.value))
    return tuple(found)


@cache
def keys(part: str) -> frozenset[str]:
    return frozenset(Resolver(BASE.snapshot).archetype(part, "part").elements[0].rule_keys)


def steps(quantity: str, *pair: str) -> list[float]:
    """Return values around every value that a rule on a pair (or any rule) names, and some across the range."""
    row = BASE.snapshot.get(Quantity, f"quantity/{quantity}")
    both = frozenset().union(*map(keys, pair))
    named = {value for one, other, value in thresholds(quantity) if not pair or {one, other} <= both}
    around = {value + nudge for value in named for nudge in (-NUDGE, 0.0, NUDGE)} | set(COARSE[quantity])
    return sorted(value for value in around if row.least <= value <= row.most)


def ladder(a: str, b: str, quantity: str, values: Sequence[float]) -> list[tuple[float, Verdict]]:
    return [(value, BASE.decide(a, b, {quantity: value}).verdict) for value in values]


def milder_steps(ladder: Sequence[tuple[float, Verdict]]) -> list[Any]:
    return [step for step in pairwise(ladder) if step[1][1].severity < step[0][1].severity]


@pytest.mark.parametrize("quantity", WORSE_UPWARDS)
def test_more_salt_hardness_or_heat_is_never_milder(quantity: str) -> None:
    assert len(steps(quantity)) > len(COARSE[quantity])
    for pair in drawn(product(MATERIALS, FLUIDS)):
        assert not milder_steps(ladder(*pair, quantity, steps(quantity, *pair))), pair


def ph_window(fluid: str) -> tuple[float, float] | None:
    row = BASE.snapshot.get(Fluid, fluid)
    return None if row.ph_low is None or row.ph_high is None else (row.ph_low, row.ph_high)


@pytest.mark.parametrize("fluid", [one for one in FLUIDS if ph_window(one)])
def test_ph_further_from_the_window_of_a_coolant_is_never_milder(fluid: str) -> None:
    low, high = ph_window(fluid) or (0.0, 0.0)
    for material in drawn(MATERIALS):
        values = steps("ph", material, fluid)
        for away in ([one for one in reversed(values) if one < low], [one for one in values if one > high]):
            found = milder_steps(ladder(material, fluid, "ph", away))
            assert not found, (material, found)


@cache
def answer_of(fluid: str, material: str, quantity: str, value: float) -> Verdict:
    part = {"kind": "sensor", "ports": PORT, "materials": {"body": material}}
    asked = {"parts": {"probe": part}, "fluid": fluid, "conditions": {quantity: value}, "sections": ["chemistry"]}
    return BASE.loop(asked).verdict


@pytest.mark.parametrize("fluid", [one for one in FLUIDS if "water" in one or "premix" in one])
def test_harder_or_saltier_water_in_a_loop_is_never_milder(fluid: str) -> None:
    """What rules say of the fluid as a whole is told in loops alone."""
    for material, quantity in product(("metal/copper", "plastic/pom-copolymer"), ("hardness", "chloride")):
        found = [(value, answer_of(fluid, material, quantity, value)) for value in steps(quantity)]
        assert not milder_steps(found), (material, quantity)


# --- what is open ---------------------------------------------------------------------------------------------------


def tables_of(snapshot: Snapshot, rows: Mapping[str, tuple[Any, ...]]) -> Snapshot:
    return Snapshot(BuiltTables({table: rows.get(table, ()) for table in ROW_CLASSES}, snapshot.version, "0" * 64))


@cache
def nothing_usual() -> Snapshot:
    """Return tables in which no figure stands in for one that nobody states."""
    rows = {table: tuple(BASE.snapshot.all_rows(table)) for table in ROW_CLASSES if table not in USUAL}
    return tables_of(BASE.snapshot, rows)


def decided(snapshot: Snapshot, a: str, b: str, conditions: Mapping[str, float]) -> PairDecision:
    resolver = Resolver(snapshot)
    return decide_pair(snapshot, resolver.archetype(a, "a"), resolver.archetype(b, "b"), conditions)


@cache
def members() -> Mapping[str, list[str]]:
    """Return which archetypes a rule about an id or family speaks of."""
    found: dict[str, list[str]] = defaultdict(list)
    resolver = Resolver(BASE.snapshot)
    for one in (*MATERIALS, *FLUIDS, *ADDITIVES):
        for key in resolver.archetype(one, "part").elements[0].rule_keys:
            found[key].append(one)
    return found


def value_that_holds(condition: RuleCondition) -> float:
    nudge = {Operator.LESS: -NUDGE, Operator.MORE: NUDGE}.get(condition.operator, 0.0)
    return condition.value + nudge


def errors_with_conditions() -> Iterator[tuple[Rule, list[RuleCondition]]]:
    conditions = defaultdict(list)
    for one in BASE.snapshot.active(RuleCondition):
        conditions[one.rule_id].append(one)
    for rule in BASE.snapshot.active(Rule):
        if rule.level is Judgement.ERROR and rule.id in conditions:
            yield rule, conditions[rule.id]


def applies(rule: Rule, findings: Collection[Finding]) -> bool:
    """Return whether a rule is the reason for an error."""
    hits = [node for one in findings if one.judgement is Judgement.ERROR for node in one.evidence]
    return rule.id in [hit.rule.id for hit in hits if isinstance(hit, RuleHit)]


def test_nothing_is_milder_than_unknown_while_an_error_hangs_on_an_open_condition() -> None:
    """Where stating every figure of a rule makes an error, leaving any one of them open is at least unknown."""
    tried = 0
    for rule, conditions in errors_with_conditions():
        stated = {one.quantity_id: value_that_holds(one) for one in conditions}
        for a, b in product(members()[rule.subject_id][:2], members()[rule.object_id][:2]):
            if a == b or not applies(rule, decided(nothing_usual(), a, b, stated).joint.findings):
                continue
            for left_open in stated:
                rest = {name: value for name, value in stated.items() if name != left_open}
                found = decided(nothing_usual(), a, b, rest)
                assert found.verdict.severity >= Verdict.UNKNOWN.severity, (rule.id, left_open)
                tried += 1
    assert tried > 40


# --- what is usual ----------------------------------------------------------------------------------------------------

SETTLED_BY_KIND = {
    "quantity/ph": "inhibited water at its usual pH of 9.5 counts as inside its window only while nobody states 9.5",
    "quantity/hardness": "a premix counts as of pure water although the rule minds its usual 170 mg/l of hardness",
}


def usual_figures(decision: PairDecision) -> dict[str, float]:
    """Return the figures that stand in for what nobody stated, as far as the reasons use them."""
    hits = [node for one in decision.joint.findings for node in one.evidence if isinstance(node, RuleHit)]
    checks = [check for hit in hits for check in hit.conditions if check.origin is not None and check.value is not None]
    return {check.condition.quantity_id: check.value for check in checks if check.value is not None}


@cache
def moved_by_saying_the_usual() -> Mapping[str, list[tuple[str, str, float]]]:
    """Return the pairs whose verdict changes when the asker states just what is taken as usual, by quantity."""
    found: dict[str, list[tuple[str, str, float]]] = defaultdict(list)
    for a, b in (*product(MATERIALS, FLUIDS), *product(MATERIALS, ADDITIVES), *product(FLUIDS, ADDITIVES)):
        decision = BASE.decide(a, b)
        for quantity, value in usual_figures(decision).items():
            found.setdefault(quantity, [])
            if BASE.decide(a, b, {quantity: value}).verdict is not decision.verdict:
                found[quantity].append((a, b, value))
    return found


@pytest.mark.parametrize(
    "quantity",
    [pytest.param(one, marks=pytest.mark.xfail(strict=True, reason=reason)) for one, reason in SETTLED_BY_KIND.items()],
)
def test_stating_the_usual_figure_of_these_changes_no_verdict(quantity: str) -> None:
    assert moved_by_saying_the_usual()[quantity] == []


def test_stating_a_usual_figure_changes_no_verdict() -> None:
    others = {one: pairs for one, pairs in moved_by_saying_the_usual().items() if one not in SETTLED_BY_KIND}
    assert len(others) >= 5
    assert {one: pairs for one, pairs in others.items() if pairs} == {}


# --- what is cited --------------------------------------------------------------------------------------------------


def judged_joints(decision: PairDecision) -> Iterator[Joint]:
    yield decision.joint
    yield from decision.others


def carried(decision: PairDecision) -> set[str]:
    """Return the rows that carry a decision: those that its findings cite, and the requirements that they name."""
    findings = tuple(one for joint in judged_joints(decision) for one in joint.findings)
    return set(cited_rows(findings)) | {one.requirement.id for one in findings if one.requirement is not None}


def reasons(decision: PairDecision) -> list[tuple[Any, ...]]:
    return sorted(
        (one.code, one.verdict.value, one.judgement.value, one.place, repr(one.requirement), one.decides)
        for one in decision.joint.findings
        if one.code != RULE_NOT_MET
    )


def alone(kept: Collection[str]) -> Snapshot:
    rows = {
        table: tuple(row for row in BASE.snapshot.all_rows(table) if table in FRAME or row.id in kept)
        for table in ROW_CLASSES
    }
    return tables_of(BASE.snapshot, rows)


def substance_pairs() -> list[tuple[str, str]]:
    chance = random.Random(15)
    kinds = ((MATERIALS, FLUIDS, 60), (MATERIALS, MATERIALS, 30), (MATERIALS, ADDITIVES, 20), (FLUIDS, FLUIDS, 20))
    return [(chance.choice(one), chance.choice(other)) for one, other, count in kinds for _ in range(count)]


@pytest.mark.parametrize("conditions", [{}, {"quantity/chloride": 80.0, "quantity/coolant-temperature": 55.0}])
def test_cited_rows_alone_reproduce_a_verdict_on_substances(conditions: dict[str, float]) -> None:
    for a, b in substance_pairs():
        whole = decided(BASE.snapshot, a, b, conditions)
        again = decided(alone(carried(whole) | {a, b}), a, b, conditions)
        assert again.verdict is whole.verdict, (a, b)
        assert reasons(again) == reasons(whole), (a, b)


def loop_of(materials: Sequence[str], fluid: str, additives: Sequence[str], area: float | None) -> dict[str, Any]:
    parts = {
        f"part-{at}": {
            "kind": "sensor",
            "ports": PORT,
            "materials": {"body": material},
            "areas_cm2": {"body": area + at} if area else {},
        }
        for at, material in enumerate(materials)
    }
    filled = {"is": fluid, "additives": list(additives)}
    return {"parts": parts, "fluid": filled, "sections": ["chemistry"], "detail": "all"}


def some_loops(count: int, area: float | None) -> list[dict[str, Any]]:
    chance = random.Random(16)
    return [
        loop_of(
            chance.sample(MATERIALS, 3), chance.choice(FLUIDS), chance.sample(ADDITIVES, chance.randint(0, 2)), area
        )
        for _ in range(count)
    ]


def rows_in(answer: Any) -> set[str]:
    """Return every row that the findings of an answer name."""
    found: set[str] = set()
    for one in answer.findings:
        found |= {limit.id for limit in one.limits} | {fact.row for fact in one.facts}
        found |= {fact.row for number in one.quantities for fact in number.inputs}
        for rule in one.rules:
            found |= {rule.id} | {condition.id for condition in rule.conditions}
            found |= {condition.origin for condition in rule.conditions if condition.origin}
        found |= {one.requirement} if one.requirement else set()
        found |= set(one.rivals)
    return found


@pytest.mark.parametrize(
    "area",
    [
        None,
        pytest.param(
            100.0,
            marks=pytest.mark.xfail(
                strict=True, reason="a kept limit of the ratio of areas decides that it is harmless, and is not cited"
            ),
        ),
    ],
)
def test_cited_rows_alone_reproduce_the_verdict_on_a_loop(area: float | None) -> None:
    for asked in some_loops(25, area):
        whole = BASE.loop(asked)
        given = {asked["fluid"]["is"], *asked["fluid"]["additives"], PORT["in"], "thread/g-1-4"}
        given |= {material for part in asked["parts"].values() for material in part["materials"].values()}
        again = KnowledgeBase(alone(rows_in(whole) | given)).loop(asked)
        assert again.verdict is whole.verdict, asked
        told = ("code", "verdict", "judgement", "place", "requirement", "state")
        assert [[getattr(one, name) for name in told] for one in again.findings] == [
            [getattr(one, name) for name in told] for one in whole.findings
        ], asked


# --- what is met ----------------------------------------------------------------------------------------------------


def test_meeting_any_requirement_of_a_loop_never_makes_it_worse() -> None:
    tried = 0
    for asked in some_loops(20, 100.0):
        before = BASE.loop(asked)
        for one in before.requirements:
            if one.state is RequirementState.CONTRADICTED:
                with pytest.raises(QuestionError) as refused:
                    BASE.loop({**asked, "met": [one.id]})
                assert refused.value.field == "met.0"
                continue
            after = BASE.loop({**asked, "met": [one.id]})
            assert after.verdict.severity <= before.verdict.severity, (asked, one.id)
            errors = [[f.code for f in answer.findings if f.judgement is Judgement.ERROR] for answer in (before, after)]
            gaps = [[f.code for f in answer.findings if f.judgement is Judgement.GAP] for answer in (before, after)]
            assert sorted(errors[0]) == sorted(errors[1]) and sorted(gaps[0]) == sorted(gaps[1]), (asked, one.id)
            tried += 1
    assert tried > 20
