"""Rules: the most specific one that applies wins, ignorance is never mild, and every rule has something to say."""

from __future__ import annotations

import dataclasses
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from itertools import product
from typing import Any

import pytest
from pydantic import TypeAdapter

from kb.compatibility.joints.joint import NOTHING_KNOWN, judge_joint, make_joint
from kb.compatibility.materials.contact import fluid_findings, judge_substances
from kb.compatibility.materials.galvanic_couples import judge_plating
from kb.evidence.rules import RULE_NOT_MET, rule_findings
from kb.evidence.tree import Finding, RuleHit
from kb.knowledge_base import KnowledgeBase
from kb.parts.part import SUBSTANCES, Element
from kb.parts.resolver import Resolver
from kb.store.frozen import BuiltTables
from kb.store.snapshot import Snapshot
from schemas.columns.provenance import Basis, Confidence
from schemas.level import Judgement, Scope
from schemas.questions.questions import PartRef
from schemas.tables import ROW_CLASSES
from schemas.tables.families import Family
from schemas.tables.rule_conditions import Operator, RuleCondition
from schemas.tables.rules import Rule, RuleTopic
from schemas.verdict import Verdict

SOURCED: dict[str, Any] = {
    "source_id": "source/own",
    "locator": None,
    "basis": Basis.COMMON_PRACTICE,
    "confidence": Confidence.LOW,
    "checked_on": date(2026, 1, 1),
    "note": None,
    "withdrawn_on": None,
    "withdrawn_reason": None,
}
LEVELS = {judgement.verdict: judgement for judgement in Judgement if judgement is not Judgement.NOTE}
WARMTH = "quantity/coolant-temperature"


def family(name: str, parent: str | None = None) -> Family:
    parent_id = f"family/{parent}" if parent else None
    return Family(id=f"family/{name}", parent_id=parent_id, title=name, description=name, **SOURCED)


def rule(name: str, subject: str, other: str, verdict: Verdict, *, directed: bool = False) -> Rule:
    return Rule(
        id=f"rule/{name}",
        topic=RuleTopic.JOINT,
        subject_id=f"family/{subject}",
        object_id=f"family/{other}",
        is_directed=directed,
        level=LEVELS[verdict],
        requirement_id=None,
        scope=Scope.COUPLE,
        level_reason=None,
        reason=name,
        remedy=None,
        caution_ids=(),
        **SOURCED,
    )


def when_warm(name: str, least: float) -> RuleCondition:
    return RuleCondition(
        id=f"condition/{name}",
        rule_id=f"rule/{name}",
        quantity_id=WARMTH,
        operator=Operator.AT_LEAST,
        value=least,
        unit="degC",
        **SOURCED,
    )


def knowing(*rows: Any) -> Snapshot:
    """Return a small world of invented families and rules: pipe > copper pipe, cup."""
    families = [family("pipe"), family("copper-pipe", "pipe"), family("cup")]
    tables: dict[str, list[Any]] = {name: [] for name in ROW_CLASSES}
    for row in (*families, *rows):
        tables[type(row).table].append(row)
    return Snapshot(BuiltTables({name: tuple(held) for name, held in tables.items()}, "2026.1.0", "0" * 64))


COPPER = ("family/copper-pipe", "family/pipe")
CUP = ("family/cup",)


def verdict_of(
    snapshot: Snapshot, first: tuple[str, ...] = COPPER, second: tuple[str, ...] = CUP, now: float | None = None
) -> Any:
    conditions = {} if now is None else {WARMTH: now}
    findings = rule_findings(snapshot, (first, second), "place", conditions)
    reported = [one for one in findings if one.code != RULE_NOT_MET]
    return reported[0].verdict if reported else None


class TestSpecificity:
    def test_rule_for_the_nearer_family_wins_though_it_is_milder(self) -> None:
        world = knowing(
            rule("any", "pipe", "cup", Verdict.INCOMPATIBLE), rule("copper", "copper-pipe", "cup", Verdict.COMPATIBLE)
        )
        assert verdict_of(world) is Verdict.COMPATIBLE

    def test_general_rule_speaks_where_no_nearer_one_does(self) -> None:
        assert verdict_of(knowing(rule("any", "pipe", "cup", Verdict.CONDITIONAL))) is Verdict.CONDITIONAL

    def test_rule_with_a_condition_that_holds_is_nearer_than_one_without(self) -> None:
        world = knowing(
            rule("always", "pipe", "cup", Verdict.COMPATIBLE),
            rule("warm", "pipe", "cup", Verdict.INCOMPATIBLE),
            when_warm("warm", 60),
        )
        assert verdict_of(world, now=70) is Verdict.INCOMPATIBLE
        assert verdict_of(world, now=20) is Verdict.COMPATIBLE

    def test_without_any_rule_nothing_is_said(self) -> None:
        assert verdict_of(knowing()) is None


class TestIgnorance:
    def test_open_condition_of_a_severe_rule_is_unknown_and_not_mild(self) -> None:
        world = knowing(
            rule("always", "pipe", "cup", Verdict.COMPATIBLE),
            rule("warm", "pipe", "cup", Verdict.INCOMPATIBLE),
            when_warm("warm", 60),
        )
        assert verdict_of(world) is Verdict.UNKNOWN

    def test_sure_rule_outweighs_the_open_one_above_it(self) -> None:
        world = knowing(
            rule("always", "pipe", "cup", Verdict.INCOMPATIBLE),
            rule("warm", "copper-pipe", "cup", Verdict.CONDITIONAL),
            when_warm("warm", 60),
        )
        assert verdict_of(world) is Verdict.INCOMPATIBLE

    @pytest.mark.parametrize("mild", [Verdict.COMPATIBLE, Verdict.CONDITIONAL])
    def test_open_condition_of_a_mild_rule_alone_is_a_note_and_proves_nothing(self, mild: Verdict) -> None:
        world = knowing(rule("warm", "pipe", "cup", mild), when_warm("warm", 60))
        (found,) = rule_findings(world, (COPPER, CUP), "place", {})
        assert found.judgement is Judgement.NOTE
        side: Any = None
        assert make_joint(side, side, [found], "place").verdict is Verdict.UNKNOWN

    def test_condition_is_met_exactly_at_its_value(self) -> None:
        world = knowing(rule("warm", "pipe", "cup", Verdict.INCOMPATIBLE), when_warm("warm", 60))
        assert verdict_of(world, now=60.0) is Verdict.INCOMPATIBLE
        assert verdict_of(world, now=59.999) is None

    @pytest.mark.parametrize("temperature", [20, 60, 61, 200])
    def test_unstated_is_never_milder_than_a_statement_but_for_the_last_step(self, temperature: float) -> None:
        """From unknown to incompatible is the one step that only a statement makes."""
        world = knowing(
            rule("always", "pipe", "cup", Verdict.CONDITIONAL),
            rule("warm", "copper-pipe", "cup", Verdict.INCOMPATIBLE),
            when_warm("warm", 60),
        )
        stated = min(verdict_of(world, now=temperature).severity, Verdict.UNKNOWN.severity)
        assert verdict_of(world).severity >= stated


class TestDirection:
    def test_undirected_rule_speaks_both_ways(self) -> None:
        world = knowing(rule("any", "pipe", "cup", Verdict.CONDITIONAL))
        assert verdict_of(world, CUP, COPPER) is verdict_of(world, COPPER, CUP) is Verdict.CONDITIONAL

    def test_directed_rule_speaks_one_way_only(self) -> None:
        world = knowing(rule("any", "pipe", "cup", Verdict.CONDITIONAL, directed=True))
        assert verdict_of(world, COPPER, CUP) is Verdict.CONDITIONAL
        assert verdict_of(world, CUP, COPPER) is None

    def test_withdrawn_rule_is_silent(self) -> None:
        gone = dataclasses.replace(
            rule("any", "pipe", "cup", Verdict.CONDITIONAL), withdrawn_on=date(2026, 2, 1), withdrawn_reason="wrong"
        )
        assert verdict_of(knowing(gone)) is None


BARE_PARTS: tuple[dict[str, Any], ...] = (
    {"is": "thread/g-1-4", "seals_on": "nothing", "gender": "external"},
    {"is": "thread/m14x1-5", "seals_on": "chamfer", "gender": "external"},
    {"is": "thread/m14x1-5", "seals_on": "thread", "gender": "external"},
)


def elements(base: KnowledgeBase) -> Iterator[Element]:
    """Yield every element of every archetype, and of parts that only an asker can describe."""
    resolver = Resolver(base.snapshot)
    reference: TypeAdapter[Any] = TypeAdapter(PartRef)
    for part_id in base.snapshot.ids():
        yield from resolver.archetype(part_id, "part").elements
    for described in BARE_PARTS:
        yield from resolver.part(reference.validate_python(described), "part").elements


@pytest.fixture(scope="module")
def by_side(base: KnowledgeBase) -> dict[str, list[Element]]:
    """Return elements by the families under which rules find them, a few of each kind."""
    found: dict[str, dict[tuple[Any, ...], Element]] = defaultdict(dict)
    for element in elements(base):
        for side in element.rule_keys:
            found[side].setdefault((element.kind, element.gender, element.rule_keys), element)
    return {side: list(kinds.values()) for side, kinds in found.items()}


def findings_of(snapshot: Snapshot, one: Element, other: Element, conditions: Mapping[str, float]) -> list[Finding]:
    """Return all that is said of two elements: as a joint, as substances, and as a plating over what it covers."""
    if one.kind not in SUBSTANCES or other.kind not in SUBSTANCES:
        return list(judge_joint(snapshot, one, other, conditions).findings)
    found = list(judge_substances(snapshot, one, other, conditions).findings)
    found += fluid_findings(snapshot, [one], other, conditions)
    return found + judge_plating(snapshot, one, other, "place", (conditions, {}))


def spoken(findings: Iterable[Any]) -> set[str]:
    return {
        node.rule.id
        for one in findings
        if one.code != RULE_NOT_MET
        for node in one.evidence
        if isinstance(node, RuleHit)
    }


def value_within(conditions: list[RuleCondition]) -> float:
    """Return a value that meets all conditions on one quantity."""
    least = [one.value for one in conditions if one.operator in (Operator.MORE, Operator.AT_LEAST, Operator.EQUAL)]
    most = [one.value for one in conditions if one.operator in (Operator.LESS, Operator.AT_MOST, Operator.EQUAL)]
    if least and most:
        return (max(least) + min(most)) / 2
    return max(least) + 1 if least else min(most) - 1


@pytest.fixture(scope="module")
def pair(base: KnowledgeBase) -> dict[str, dict[str, float]]:
    """Return by rule the circumstances under which it speaks."""
    grouped: dict[str, dict[str, list[RuleCondition]]] = defaultdict(lambda: defaultdict(list))
    for condition in base.snapshot.active(RuleCondition):
        grouped[condition.rule_id][condition.quantity_id].append(condition)
    return {
        rule_id: {quantity: value_within(conditions) for quantity, conditions in by_quantity.items()}
        for rule_id, by_quantity in grouped.items()
    }


def test_a_rule_that_would_worsen_is_reported_even_where_nothing_else_is_known() -> None:
    world = knowing(rule("warm", "pipe", "cup", Verdict.INCOMPATIBLE), when_warm("warm", 60))
    found = rule_findings(world, (COPPER, CUP), "place", {WARMTH: 20.0})
    side: Any = None
    joint = make_joint(side, side, found, "place")
    assert [finding.code for finding in joint.findings] == [NOTHING_KNOWN, RULE_NOT_MET]


def test_every_rule_speaks_about_some_pair(
    base: KnowledgeBase, by_side: dict[str, list[Element]], pair: dict[str, dict[str, float]]
) -> None:
    silent = []
    for row in base.snapshot.active(Rule):
        conditions = pair.get(row.id, {})
        pairs = product(by_side.get(row.subject_id, []), by_side.get(row.object_id, []))
        said = (findings_of(base.snapshot, one, other, conditions) for one, other in pairs)
        if not any(row.id in spoken(findings) for findings in said):
            silent.append(row.id)
    assert silent == [], silent


def test_every_rule_side_is_a_family_or_part_that_parts_belong_to(
    base: KnowledgeBase, by_side: dict[str, list[Element]]
) -> None:
    rules = base.snapshot.active(Rule)
    keys = {side for row in rules for side in (row.subject_id, row.object_id)}
    assert keys <= set(by_side), sorted(keys - set(by_side))
