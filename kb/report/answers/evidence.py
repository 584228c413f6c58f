"""From decisions to answers: evidence and words in the shape everyone reads.

Owns: evidence -> `schemas.answers.answers`. Does not own: deciding, or the words themselves
(`kb/report/sentences/findings.py`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import partial
from typing import Any, TypeVar

from kb.compatibility.joints.joint import Joint
from kb.evidence.rules import RULE_NOT_MET
from kb.evidence.tree import ConditionCheck, Fact, Finding, LimitCheck, Missing, Node, Number, RuleHit
from kb.report.sentences.findings import finding_mend, finding_sentence
from kb.store.snapshot import Snapshot
from schemas.answers.answers import (
    CautionTold,
    ConditionTold,
    DisputeTold,
    FactTold,
    FindingTold,
    JointTold,
    LimitTold,
    MissingTold,
    QuantityTold,
    RuleTold,
    SourceTold,
)
from schemas.answers.assumed import AssumedTold
from schemas.tables.assumptions import Assumption
from schemas.tables.cautions import Caution
from schemas.tables.disputes import Dispute
from schemas.tables.quantities import Quantity
from schemas.tables.sources import Source
from schemas.verdict import Verdict

Ordered = TypeVar("Ordered", Finding, FindingTold)


def tell_findings(snapshot: Snapshot, findings: Iterable[Finding]) -> tuple[FindingTold, ...]:
    """Return findings in the shape of answers, the most severe first, otherwise in the order they were found."""
    return tuple(_tell_finding(snapshot, finding) for finding in in_telling_order(findings))


def in_telling_order(findings: Iterable[Ordered]) -> list[Ordered]:
    """Return findings in the order in which they are told: the most severe first, otherwise as they were found."""
    found = list(findings)
    if len(found) > 1:
        found.sort(key=_weight, reverse=True)
    return found


def _weight(finding: Finding | FindingTold) -> tuple[int, bool]:
    return finding.verdict.severity, finding.code != RULE_NOT_MET


def without_idle_mends(findings: tuple[FindingTold, ...], verdict: Verdict) -> tuple[FindingTold, ...]:
    """Return the findings of an incompatible joint without the mends of lesser faults: those would mend nothing."""
    if verdict is not Verdict.INCOMPATIBLE:
        return findings
    return tuple(
        one if one.verdict is Verdict.INCOMPATIBLE else one.model_copy(update={"mend": None}) for one in findings
    )


def tell_cautions(snapshot: Snapshot, findings: Iterable[FindingTold]) -> tuple[CautionTold, ...]:
    """Return every caution that the findings name, once each, in the order of their ids."""
    ids = sorted({caution for finding in findings for caution in finding.cautions})
    rows = (snapshot.get(Caution, caution) for caution in ids)
    return tuple(map(tell_caution, rows))


def tell_caution(row: Caution) -> CautionTold:
    """Return a caution in the shape of answers."""
    return CautionTold(id=row.id, title=row.title, text=row.text)


def tell_sources(snapshot: Snapshot, findings: Iterable[FindingTold]) -> tuple[SourceTold, ...]:
    """Return every source that the findings stand on, or that speaks against them, once each, by id."""
    ids = sorted(
        {source for one in findings for source in (*one.sources, *(dispute.source for dispute in one.disputes))}
    )
    return tuple(snapshot.told.get(source, partial(_tell_source_by_id, snapshot, source)) for source in ids)


def tell_joint(joint: Joint) -> JointTold:
    """Return a joint as one line of an answer."""
    return JointTold(place=joint.place, verdict=joint.verdict)


def _tell_finding(snapshot: Snapshot, finding: Finding) -> FindingTold:
    return FindingTold(
        code=finding.code,
        verdict=finding.verdict,
        place=finding.place,
        sentence=finding_sentence(snapshot, finding),
        mend=finding_mend(finding),
        mend_parts=finding.mends,
        cautions=tuple(dict.fromkeys(cautions_of(finding))),
        sources=tuple(sorted(set(sources_of(finding.evidence)))),
        **_tell_evidence(snapshot, finding),
    )


def _tell_evidence(snapshot: Snapshot, finding: Finding) -> dict[str, Any]:
    """Return the nodes of a finding in the shape of answers, by the field they belong to."""
    told: dict[str, Any] = {}
    for node in finding.evidence:
        if isinstance(node, Number):
            told.setdefault("quantities", []).append(_tell_number(snapshot, node))
        elif isinstance(node, LimitCheck):
            told.setdefault("limits", []).append(_limit_told(snapshot, node))
        elif isinstance(node, RuleHit):
            told.setdefault("rules", []).append(_rule_told(snapshot, node))
            disputes = snapshot.disputes(node.rule.id) if finding.code != RULE_NOT_MET else ()
            told.setdefault("disputes", []).extend(map(tell_dispute, disputes))
        elif isinstance(node, Fact):
            told.setdefault("facts", []).append(_fact_told(snapshot, node))
        elif isinstance(node, Missing):
            told.setdefault("missing", []).append(tell_missing(node))
        else:
            told.setdefault("rivals", []).extend(row for row in node.others if row not in told.get("rivals", ()))
    return told


def cautions_of(finding: Finding) -> Iterator[str]:
    """Yield the ids of the cautions that a finding names; some may come twice."""
    for node in finding.evidence:
        if isinstance(node, RuleHit) and finding.code != RULE_NOT_MET:
            yield from node.rule.caution_ids
        elif isinstance(node, LimitCheck) and not node.holds:
            yield from node.limit.caution_ids


def sources_of(nodes: Iterable[Node]) -> Iterator[str]:
    """Yield the ids of the sources that evidence stands on; some may come twice."""
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


def _fact_told(snapshot: Snapshot, fact: Fact) -> FactTold:
    """Return a fact in the shape of answers; what askers give is not kept."""
    return snapshot.told.get(fact, partial(tell_fact, fact)) if fact.source_id else tell_fact(fact)


def tell_fact(fact: Fact) -> FactTold:
    """Return a fact in the shape of answers."""
    return FactTold(
        row=fact.row_id,
        column=fact.column,
        value=fact.value,
        given=not fact.source_id,
        source=fact.source_id or None,
        locator=fact.locator or None,
    )


def _facts_of(snapshot: Snapshot, number: Number) -> Iterator[FactTold]:
    for node in number.inputs:
        if isinstance(node, Fact):
            yield _fact_told(snapshot, node)
        else:
            yield from _facts_of(snapshot, node)


def _tell_number(snapshot: Snapshot, number: Number) -> QuantityTold:
    quantity = snapshot.get(Quantity, number.quantity_id)
    return QuantityTold(
        name=quantity.id,
        title=quantity.title,
        value=number.value,
        unit=quantity.unit,
        formula=quantity.formula_id,
        inputs=_each_once(_facts_of(snapshot, number)),
    )


def _each_once(facts: Iterable[FactTold]) -> tuple[FactTold, ...]:
    return tuple({(fact.row, fact.column, fact.value): fact for fact in facts}.values())


def _limit_told(snapshot: Snapshot, check: LimitCheck) -> LimitTold:
    told: LimitTold = snapshot.told.get((check.limit.id, check.holds), partial(tell_limit, check))
    return told


def _rule_told(snapshot: Snapshot, hit: RuleHit) -> RuleTold:
    """Return a rule in the shape of answers; what its conditions say depends on the question and is not kept."""
    if hit.conditions:
        return tell_rule(hit)
    told: RuleTold = snapshot.told.get((hit.rule.id, hit.subject_id, hit.object_id), partial(tell_rule, hit))
    return told


def tell_limit(check: LimitCheck) -> LimitTold:
    """Return a limit, and whether it holds, in the shape of answers."""
    limit = check.limit
    return LimitTold(
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


def tell_rule(hit: RuleHit) -> RuleTold:
    """Return a rule with its conditions in the shape of answers."""
    rule = hit.rule
    return RuleTold(
        id=rule.id,
        topic=rule.topic.value,
        subject=hit.subject_id,
        object=hit.object_id,
        verdict=rule.verdict,
        reason=rule.reason,
        conditions=tuple(_tell_condition(check) for check in hit.conditions),
        applies=all(check.holds is not False for check in hit.conditions),
        source=rule.source_id,
        locator=rule.locator,
        basis=rule.basis.value,
        confidence=rule.confidence.value,
        note=rule.note,
    )


def _tell_condition(check: ConditionCheck) -> ConditionTold:
    row = check.condition
    return ConditionTold(
        id=row.id,
        quantity=row.quantity_id,
        operator=row.operator.value,
        value=row.value,
        unit=row.unit,
        actual=check.value,
        origin=check.origin.id if check.origin is not None else None,
        holds=check.holds,
    )


def tell_dispute(row: Dispute) -> DisputeTold:
    """Return what a source says against a rule in the shape of answers."""
    return DisputeTold(
        id=row.id,
        rule=row.rule_id,
        verdict=row.verdict,
        reason=row.reason,
        source=row.source_id,
        locator=row.locator,
        confidence=row.confidence.value,
    )


def tell_missing(missing: Missing) -> MissingTold:
    """Return what is missing in the shape of answers."""
    return MissingTold(subject=missing.subject, what=missing.what, column=missing.column or None)


def _tell_source_by_id(snapshot: Snapshot, source_id: str) -> SourceTold:
    return tell_source(snapshot.get(Source, source_id))


def tell_source(row: Source) -> SourceTold:
    """Return a source in the shape of answers."""
    return SourceTold(
        id=row.id,
        kind=row.kind.value,
        title=row.title,
        publisher=row.publisher,
        edition=row.edition,
        how_seen=row.how_seen.value,
        note=row.note,
    )


def tell_assumed(snapshot: Snapshot, rows: Iterable[Assumption]) -> tuple[AssumedTold, ...]:
    """Return assumptions in the shape of answers, once each, by id."""
    return tuple(
        AssumedTold(
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
