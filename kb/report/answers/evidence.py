"""From decisions to answers: evidence and words in the shape everyone reads.

Owns: evidence -> `schemas.answers.answers`. Does not own: deciding, or the words themselves
(`kb/report/sentences/findings.py`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import partial
from typing import Any, TypeVar

from kb.compatibility.joints.joint import Joint
from kb.evidence.rules import RULE_NOT_MET
from kb.evidence.tree import ConditionCheck, Fact, Finding, LimitCheck, Missing, Node, Number, RuleHit
from kb.report.sentences.findings import finding_remedy, finding_sentence
from kb.store.snapshot import Snapshot
from schemas.answers.answers import (
    CitedCaution,
    CitedCondition,
    CitedDispute,
    CitedFact,
    CitedLimit,
    CitedRule,
    CitedSource,
    JointVerdict,
    MissingValue,
    QuantityValue,
)
from schemas.answers.answers import (
    Finding as FindingAnswer,
)
from schemas.answers.assumed import AssumedValue
from schemas.tables.assumptions import Assumption
from schemas.tables.cautions import Caution
from schemas.tables.disputes import Dispute
from schemas.tables.quantities import Quantity
from schemas.tables.sources import Source
from schemas.verdict import Verdict

Ordered = TypeVar("Ordered", Finding, FindingAnswer)


def report_findings(snapshot: Snapshot, findings: Iterable[Finding]) -> tuple[FindingAnswer, ...]:
    """Return findings in the shape of answers, the most severe first, otherwise in the order they were found."""
    return tuple(_report_finding(snapshot, finding) for finding in in_report_order(findings))


def in_report_order(findings: Iterable[Ordered]) -> list[Ordered]:
    """Return findings in the order in which they are reported: the most severe first, otherwise as they were found."""
    found = list(findings)
    if len(found) > 1:
        found.sort(key=_weight, reverse=True)
    return found


def _weight(finding: Finding | FindingAnswer) -> tuple[int, bool]:
    return finding.verdict.severity, finding.code != RULE_NOT_MET


def without_idle_remedies(findings: tuple[FindingAnswer, ...], verdict: Verdict) -> tuple[FindingAnswer, ...]:
    """Return the findings of an incompatible joint without remedies of lesser faults: those would fix nothing."""
    if verdict is not Verdict.INCOMPATIBLE:
        return findings
    return tuple(one if one.verdict is Verdict.INCOMPATIBLE else replace(one, remedy=None) for one in findings)


def report_cautions(snapshot: Snapshot, findings: Iterable[FindingAnswer]) -> tuple[CitedCaution, ...]:
    """Return every caution that the findings name, once each, in the order of their ids."""
    ids = sorted({caution for finding in findings for caution in finding.cautions})
    rows = (snapshot.get(Caution, caution) for caution in ids)
    return tuple(map(report_caution, rows))


def report_caution(row: Caution) -> CitedCaution:
    """Return a caution in the shape of answers."""
    return CitedCaution(id=row.id, title=row.title, text=row.text)


def report_sources(snapshot: Snapshot, findings: Iterable[FindingAnswer]) -> tuple[CitedSource, ...]:
    """Return every source that the findings cite, or that speaks against them, once each, by id."""
    ids = sorted(
        {source for one in findings for source in (*one.sources, *(dispute.source for dispute in one.disputes))}
    )
    return tuple(snapshot.memo.reported.get(source, partial(_report_source_by_id, snapshot, source)) for source in ids)


def report_joint(joint: Joint) -> JointVerdict:
    """Return a joint as one line of an answer."""
    return JointVerdict(place=joint.place, verdict=joint.verdict)


def _report_finding(snapshot: Snapshot, finding: Finding) -> FindingAnswer:
    return FindingAnswer(
        code=finding.code,
        verdict=finding.verdict,
        place=finding.place,
        sentence=finding_sentence(snapshot, finding),
        remedy=finding_remedy(snapshot, finding),
        remedy_parts=finding.remedies,
        cautions=tuple(dict.fromkeys(cautions_of(finding))),
        sources=tuple(sorted(set(sources_of(finding.evidence)))),
        **_report_evidence(snapshot, finding),
    )


def _report_evidence(snapshot: Snapshot, finding: Finding) -> dict[str, Any]:
    """Return the nodes of a finding in the shape of answers, by the field they belong to."""
    reported: dict[str, Any] = {}
    for node in finding.evidence:
        if isinstance(node, Number):
            reported.setdefault("quantities", []).append(_report_number(snapshot, node))
        elif isinstance(node, LimitCheck):
            reported.setdefault("limits", []).append(_reported_limit(snapshot, node))
        elif isinstance(node, RuleHit):
            reported.setdefault("rules", []).append(_reported_rule(snapshot, node))
            disputes = snapshot.disputes(node.rule.id) if finding.code != RULE_NOT_MET else ()
            reported.setdefault("disputes", []).extend(map(report_dispute, disputes))
        elif isinstance(node, Fact):
            reported.setdefault("facts", []).append(_reported_fact(snapshot, node))
        elif isinstance(node, Missing):
            reported.setdefault("missing", []).append(report_missing(node))
        else:
            reported.setdefault("rivals", []).extend(
                row for row in node.others if row not in reported.get("rivals", ())
            )
    return {name: tuple(nodes) for name, nodes in reported.items()}


def cautions_of(finding: Finding) -> Iterator[str]:
    """Yield the ids of the cautions that a finding names; some may come twice."""
    for node in finding.evidence:
        if isinstance(node, RuleHit) and finding.code != RULE_NOT_MET:
            yield from node.rule.caution_ids
        elif isinstance(node, LimitCheck) and not node.holds:
            yield from node.limit.caution_ids


def sources_of(nodes: Iterable[Node]) -> Iterator[str]:
    """Yield the ids of the sources that evidence cites; some may come twice."""
    for node in nodes:
        if isinstance(node, Fact) and node.source_id:
            yield node.source_id
        elif isinstance(node, Number):
            yield from sources_of(node.inputs)
        elif isinstance(node, LimitCheck):
            yield node.limit.source_id
        elif isinstance(node, RuleHit):
            yield node.rule.source_id
            yield from (check.origin.source_id for check in node.conditions if check.origin is not None)


def _reported_fact(snapshot: Snapshot, fact: Fact) -> CitedFact:
    """Return a fact in the shape of answers; what askers give is not kept."""
    return snapshot.memo.reported.get(fact, partial(report_fact, fact)) if fact.source_id else report_fact(fact)


def report_fact(fact: Fact) -> CitedFact:
    """Return a fact in the shape of answers."""
    return CitedFact(
        row=fact.row_id,
        column=fact.column,
        value=fact.value,
        given=not fact.source_id,
        source=fact.source_id or None,
        locator=fact.locator or None,
    )


def _facts_of(snapshot: Snapshot, number: Number) -> Iterator[CitedFact]:
    for node in number.inputs:
        if isinstance(node, Fact):
            yield _reported_fact(snapshot, node)
        else:
            yield from _facts_of(snapshot, node)


def _report_number(snapshot: Snapshot, number: Number) -> QuantityValue:
    quantity = snapshot.get(Quantity, number.quantity_id)
    return QuantityValue(
        name=quantity.id,
        title=quantity.title,
        value=number.value,
        unit=quantity.unit,
        formula=quantity.formula_id,
        inputs=_each_once(_facts_of(snapshot, number)),
    )


def _each_once(facts: Iterable[CitedFact]) -> tuple[CitedFact, ...]:
    return tuple({(fact.row, fact.column, fact.value): fact for fact in facts}.values())


def _reported_limit(snapshot: Snapshot, check: LimitCheck) -> CitedLimit:
    reported: CitedLimit = snapshot.memo.reported.get((check.limit.id, check.holds), partial(report_limit, check))
    return reported


def _reported_rule(snapshot: Snapshot, hit: RuleHit) -> CitedRule:
    """Return a rule in the shape of answers; what its conditions say depends on the question and is not kept."""
    if hit.conditions:
        return report_rule(hit)
    key = hit.rule.id, hit.subject_id, hit.object_id
    reported: CitedRule = snapshot.memo.reported.get(key, partial(report_rule, hit))
    return reported


def report_limit(check: LimitCheck) -> CitedLimit:
    """Return a limit, and whether it holds, in the shape of answers."""
    limit = check.limit
    return CitedLimit(
        id=limit.id,
        comparison=limit.comparison.value,
        value=limit.value,
        unit=limit.unit,
        holds=check.holds,
        source=limit.source_id,
        locator=limit.locator,
        basis=limit.basis.value,
        confidence=limit.confidence.value,
    )


def report_rule(hit: RuleHit) -> CitedRule:
    """Return a rule with its conditions in the shape of answers."""
    rule = hit.rule
    return CitedRule(
        id=rule.id,
        topic=rule.topic.value,
        subject=hit.subject_id,
        object=hit.object_id,
        verdict=rule.verdict,
        reason=rule.reason,
        conditions=tuple(_report_condition(check) for check in hit.conditions),
        applies=all(check.holds is not False for check in hit.conditions),
        source=rule.source_id,
        locator=rule.locator,
        basis=rule.basis.value,
        confidence=rule.confidence.value,
        note=rule.note,
    )


def _report_condition(check: ConditionCheck) -> CitedCondition:
    row = check.condition
    return CitedCondition(
        id=row.id,
        quantity=row.quantity_id,
        operator=row.operator.value,
        value=row.value,
        unit=row.unit,
        actual=check.value,
        origin=check.origin.id if check.origin is not None else None,
        holds=check.holds,
    )


def report_dispute(row: Dispute) -> CitedDispute:
    """Return what a source says against a rule in the shape of answers."""
    return CitedDispute(
        id=row.id,
        rule=row.rule_id,
        verdict=row.verdict,
        reason=row.reason,
        source=row.source_id,
        locator=row.locator,
        confidence=row.confidence.value,
    )


def report_missing(missing: Missing) -> MissingValue:
    """Return what is missing in the shape of answers."""
    return MissingValue(subject=missing.subject, what=missing.what, column=missing.column or None)


def _report_source_by_id(snapshot: Snapshot, source_id: str) -> CitedSource:
    return report_source(snapshot.get(Source, source_id))


def report_source(row: Source) -> CitedSource:
    """Return a source in the shape of answers."""
    return CitedSource(
        id=row.id,
        kind=row.kind.value,
        title=row.title,
        publisher=row.publisher,
        edition=row.edition,
        how_seen=row.how_seen.value,
        note=row.note,
    )


def report_assumed(snapshot: Snapshot, rows: Iterable[Assumption]) -> tuple[AssumedValue, ...]:
    """Return assumptions in the shape of answers, once each, by id."""
    return tuple(
        AssumedValue(
            quantity=row.quantity_id,
            title=snapshot.get(Quantity, row.quantity_id).title,
            value=row.value,
            unit=row.unit,
            row=row.id,
            source=row.source_id,
            note=row.note,
        )
        for row in sorted(set(rows), key=lambda row: row.id)
    )
