"""The reasons carry the verdict: cited rows alone reproduce it, and a cited row cannot be taken away unnoticed."""

from __future__ import annotations

import random
from collections.abc import Collection, Iterator
from functools import cache
from typing import Any

import pytest

from kb.compatibility.joints.joint import Joint
from kb.compatibility.pair import PairDecision, decide_pair
from kb.evidence.rules import RULE_NOT_MET
from kb.evidence.tree import Fact, Finding, LimitCheck, Missing, Number, RuleHit, cited_rows
from kb.knowledge_base import KnowledgeBase
from kb.parts.resolver import Resolver
from kb.store.frozen import BuiltTables
from kb.store.snapshot import Snapshot
from schemas.tables import ROW_CLASSES
from schemas.tables.fittings import Fitting

FRAME = ("sources", "quantities", "cautions", "families")  # what cited rows refer to; none of it decides
PARTS = ("threads", "ports", "tubes", "seals", "fittings", "fitting_ends")
JUDGING = ("rules", "rule_conditions", "limits", "tolerances", "thread_tolerances", "assumptions")
SAMPLE = 400


def judged_joints(decision: PairDecision) -> Iterator[Joint]:
    """Yield every way of joining that was weighed, for the best one is reported only because the others are worse."""
    for joint in (decision.joint, *decision.others):
        yield joint
        if joint.reverse is not None:
            yield joint.reverse


def reasons(decision: PairDecision) -> tuple[Finding, ...]:
    return tuple(one for joint in judged_joints(decision) for one in joint.findings)


def parts_asked(snapshot: Snapshot, *ids: str) -> set[str]:
    """Return the rows of the parts asked about: themselves, their ends, threads and O-rings."""
    found: set[str] = set()
    for part_id in ids:
        row = snapshot.row(part_id)
        rows = [row, *(snapshot.ends(part_id) if isinstance(row, Fitting) else ())]
        for one in rows:
            found |= {one.id, getattr(one, "thread_id", None) or one.id, getattr(one, "seal_id", None) or one.id}
    return found


def tables_with(snapshot: Snapshot, kept: Collection[str]) -> Snapshot:
    rows = {
        table: tuple(row for row in snapshot.all_rows(table) if table in FRAME or row.id in kept)
        for table in ROW_CLASSES
    }
    return Snapshot(BuiltTables(rows, "2026.1.0", "0" * 64))


def tables_without(snapshot: Snapshot, row_id: str) -> Snapshot:
    rows = {table: tuple(row for row in snapshot.all_rows(table) if row.id != row_id) for table in ROW_CLASSES}
    return Snapshot(BuiltTables(rows, "2026.1.0", "0" * 64))


def decide(snapshot: Snapshot, a: str, b: str, conditions: dict[str, float] | None = None) -> PairDecision:
    resolver = Resolver(snapshot)
    return decide_pair(snapshot, resolver.archetype(a, "a"), resolver.archetype(b, "b"), conditions or {})


def what_was_found(findings: tuple[Finding, ...]) -> list[tuple[Any, ...]]:
    """Return code, verdict, numbers and deciding rows of every reason that counts."""
    return [
        (
            one.code,
            one.verdict,
            one.place,
            tuple(node.value for node in one.evidence if isinstance(node, Number)),
            tuple(node.limit.id for node in one.evidence if isinstance(node, LimitCheck)),
            tuple(node.rule.id for node in one.evidence if isinstance(node, RuleHit)),
            tuple(node for node in one.evidence if isinstance(node, Missing)),
        )
        for one in findings
        if one.code != RULE_NOT_MET
    ]


@pytest.fixture(scope="module")
def pairs(base: KnowledgeBase) -> list[tuple[str, str]]:
    """Return pairs from all kinds of parts, weighted towards those with much to say: tubes, fittings and threads."""
    chance = random.Random(7)
    tables = {table: [row.id for row in base.snapshot.all_rows(table)] for table in PARTS[:-1]}
    kinds_and_weights = (
        ("tubes", "fittings", 5),
        ("threads", "threads", 4),
        ("ports", "fittings", 3),
        ("fittings", "fittings", 2),
        ("threads", "ports", 2),
        ("tubes", "tubes", 0.2),
        ("tubes", "ports", 0.2),
        ("seals", "tubes", 0.4),
    )
    whole = sum(weight for *_, weight in kinds_and_weights)
    return [
        (chance.choice(tables[one]), chance.choice(tables[other]))
        for one, other, weight in kinds_and_weights
        for _ in range(round(SAMPLE * weight / whole))
    ]


def test_sample_is_broad(base: KnowledgeBase, pairs: list[tuple[str, str]]) -> None:
    verdicts = [base.decide(a, b).verdict for a, b in pairs]
    assert len(set(verdicts)) == 4
    assert all(verdicts.count(verdict) >= 5 for verdict in set(verdicts))


def test_cited_rows_alone_reproduce_the_verdict(base: KnowledgeBase, pairs: list[tuple[str, str]]) -> None:
    for a, b in pairs:
        decision = base.decide(a, b)
        cited = cited_rows(reasons(decision))
        alone = decide(tables_with(base.snapshot, cited | parts_asked(base.snapshot, a, b)), a, b)
        assert alone.verdict is decision.verdict, (a, b)
        assert what_was_found(alone.joint.findings) == what_was_found(decision.joint.findings), (a, b)


@pytest.mark.parametrize(
    ("a", "b", "warmth"),
    [
        ("tube/acrylic-12x10", "fitting/rigid-12-g-1-4", 70.0),
        ("tube/petg-12x10", "fitting/rigid-12-g-1-4", 61.0),
        ("tube/soft-3-8x5-8", "fitting/compression-3-8x5-8-g-1-4", 45.0),
        ("tube/soft-10x13", "fitting/barb-10-g-1-4", 45.0),
    ],
)
def test_cited_rows_alone_reproduce_a_verdict_under_stated_conditions(
    base: KnowledgeBase, a: str, b: str, warmth: float
) -> None:
    conditions = {"quantity/coolant-temperature": warmth}
    decision = decide(base.snapshot, a, b, conditions)
    cited = cited_rows(reasons(decision))
    assert any(row.startswith("condition/") for row in cited)
    alone = decide(tables_with(base.snapshot, cited | parts_asked(base.snapshot, a, b)), a, b, conditions)
    assert what_was_found(alone.joint.findings) == what_was_found(decision.joint.findings)


def deciding_rows(base: KnowledgeBase, findings: tuple[Finding, ...]) -> list[str]:
    judging = {row.id for table in JUDGING for row in base.snapshot.all_rows(table)}
    return sorted(cited_rows(findings) & judging)


def may_go_silently(base: KnowledgeBase, findings: tuple[Finding, ...]) -> set[str]:
    """Return rows that are one cause beside others, rules and limits that hold: nothing need replace them."""
    nodes = [node for one in findings for node in one.evidence]
    rules = {row.id for table in ("rules", "rule_conditions") for row in base.snapshot.all_rows(table)}
    broken = {node.limit.id for node in nodes if isinstance(node, LimitCheck) and not node.holds}
    return rules | {node.limit.id for node in nodes if isinstance(node, LimitCheck)} - broken


def test_cited_row_cannot_be_taken_away_unnoticed(base: KnowledgeBase, pairs: list[tuple[str, str]]) -> None:
    """Without it the verdict or the causes change; a tolerance or a broken limit gives way to something else."""
    without = cache(lambda row_id: tables_without(base.snapshot, row_id))
    for a, b in pairs:
        decision = base.decide(a, b)
        before, silent = what_was_found(reasons(decision)), may_go_silently(base, reasons(decision))
        for row_id in deciding_rows(base, reasons(decision)):
            after = decide(without(row_id), a, b)
            found = what_was_found(reasons(after))
            assert row_id not in cited_rows(reasons(after)), (a, b, row_id)
            assert after.verdict is not decision.verdict or found != before, (a, b, row_id)
            assert row_id in silent or [one for one in found if one not in before], (a, b, row_id)


def test_row_that_decides_alone_takes_the_verdict_with_it(base: KnowledgeBase, pairs: list[tuple[str, str]]) -> None:
    """Where one broken limit or rule is the only cause of a verdict, that falls without it, or another cause decides.

    A rule that forbids a joint outright keeps its dimensions from being looked at; without it they may forbid it, too.
    """
    without = cache(lambda row_id: tables_without(base.snapshot, row_id))
    tried = set()
    for a, b in pairs:
        decision = base.decide(a, b)
        grounds = list(sole_grounds(decision))
        if len(grounds) == 1 and not decision.others and not decision.joint.reverse:
            tried.add(grounds[0])
            after = decide(without(grounds[0]), a, b)
            assert after.verdict is not decision.verdict or set(sole_grounds(after)) - set(grounds), (a, b)
    assert len(tried) >= 5


def sole_grounds(decision: PairDecision) -> Iterator[str]:
    """Yield the rules and broken limits whose verdict is that of a pair that is not simply compatible."""
    worst = [one for one in decision.joint.findings if one.verdict is decision.verdict and one.verdict.severity]
    for one in worst:
        for node in one.evidence:
            if isinstance(node, RuleHit):
                yield node.rule.id
            elif isinstance(node, LimitCheck) and not node.holds:
                yield node.limit.id


def test_taking_the_assumption_away_leaves_conditions_open(base: KnowledgeBase) -> None:
    a, b = "tube/acrylic-12x10", "fitting/rigid-12-g-1-4"
    bare = tables_without(base.snapshot, "assumption/coolant-temperature")
    assert base.decide(a, b).verdict.value == "compatible"
    assert decide(bare, a, b).verdict.severity >= 2


def test_no_row_is_cited_that_the_tables_do_not_have(base: KnowledgeBase, pairs: list[tuple[str, str]]) -> None:
    for a, b in pairs:
        for row_id in cited_rows(reasons(base.decide(a, b))):
            assert base.snapshot.row(row_id) is not None, row_id


def test_every_fact_stands_in_the_row_it_names(base: KnowledgeBase, pairs: list[tuple[str, str]]) -> None:
    """Except for tolerances in percent, which are reported as the millimetres they come to."""
    for a, b in pairs:
        for fact in facts(reasons(base.decide(a, b))):
            row = base.snapshot.row(fact.row_id)
            if getattr(row, "percent", None) is None:
                assert getattr(row, fact.column) == fact.value, (a, b, fact)
                assert row.source_id == fact.source_id


def facts(findings: tuple[Finding, ...]) -> Iterator[Fact]:
    for one in findings:
        for node in one.evidence:
            inputs = node.inputs if isinstance(node, Number) else (node,)
            yield from (leaf for leaf in inputs if isinstance(leaf, Fact) and leaf.column != "value")


def test_every_finding_names_a_source_unless_something_is_missing(
    base: KnowledgeBase, pairs: list[tuple[str, str]]
) -> None:
    for a, b in pairs:
        answer = base.pair(a, b)
        for one in answer.findings:
            assert one.sources or one.missing, (a, b, one.code)
            reported = {source.id for source in answer.sources}
            assert set(one.sources) <= reported, (a, b, one.code)


def test_every_finding_has_words_and_a_remedy_where_one_is_needed(
    base: KnowledgeBase, pairs: list[tuple[str, str]]
) -> None:
    """Lesser faults of an incompatible joint carry no remedy: fixing them would fix nothing."""
    for a, b in pairs:
        answer = base.pair(a, b)
        for one in answer.findings:
            assert one.sentence.endswith("."), (a, b, one.sentence)
            assert "None" not in one.sentence, (a, b, one.sentence)
            decides = one.verdict is answer.verdict and one.verdict.value != "compatible"
            assert one.remedy or not decides or not one.limits, (a, b, one.code)


def test_values_the_asker_gave_have_no_source(base: KnowledgeBase) -> None:
    tube = {"kind": "tube", "family": "family/tube-soft", "id_mm": 9.5, "od_mm": 15.9}
    answer = base.pair(tube, "fitting/compression-3-8x5-8-g-1-4")
    inputs = [fact for one in answer.findings for number in one.quantities for fact in number.inputs]
    assert {fact.source for fact in inputs if fact.given} == {None}
    assert all(fact.source for fact in inputs if not fact.given)
