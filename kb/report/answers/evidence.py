"""From decisions to answers: evidence and words in the shape everyone reads.

Owns: evidence -> `schemas.answers.answers`. Does not own: deciding, or the words themselves
(`kb/report/sentences/findings.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType
from typing import Any, ClassVar, TypeVar

from kb.compatibility.joints.joint import Joint
from kb.evidence.rules import RULE_NOT_MET
from kb.evidence.tree import ConditionCheck, Fact, Finding, LimitCheck, Missing, Number, Rival, RuleHit
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
from schemas.level import Judgement
from schemas.tables.assumptions import Assumption
from schemas.tables.cautions import Caution
from schemas.tables.disputes import Dispute
from schemas.tables.quantities import Quantity
from schemas.tables.sources import Source

Ordered = TypeVar("Ordered", Finding, FindingAnswer)


def report_findings(snapshot: Snapshot, findings: Iterable[Finding]) -> tuple[FindingAnswer, ...]:
    """Return findings in the shape of answers, the most severe first, otherwise in the order they were found."""
    return tuple([report_finding(snapshot, finding) for finding in in_report_order(findings)])


def in_report_order(findings: Iterable[Ordered]) -> list[Ordered]:
    """Return findings in the order in which they are reported: the most severe first, otherwise as they were found."""
    found = list(findings)
    if len(found) > 1:
        found.sort(key=_weight, reverse=True)
    return found


def _weight(finding: Finding | FindingAnswer) -> tuple[int, int, bool]:
    return finding.verdict.severity, finding.judgement.severity, finding.code != RULE_NOT_MET


def report_cautions(snapshot: Snapshot, findings: Iterable[FindingAnswer]) -> tuple[CitedCaution, ...]:
    """Return every caution that the findings name, once each, in the order of their ids."""
    ids = {caution for finding in findings for caution in finding.cautions}
    return tuple([report_caution(snapshot.get(Caution, one)) for one in sorted(ids)])


def report_caution(row: Caution) -> CitedCaution:
    """Return a caution in the shape of answers."""
    return CitedCaution(id=row.id, title=row.title, text=row.text)


def report_sources(snapshot: Snapshot, findings: Iterable[FindingAnswer]) -> tuple[CitedSource, ...]:
    """Return every source that the findings cite, or that speaks against them, once each, by id."""
    ids: set[str] = set()
    for finding in findings:
        ids.update(finding.sources)
        ids.update([dispute.source for dispute in finding.disputes])
    kept = snapshot.memo.reported
    return tuple([kept.get(source, _report_source_by_id, snapshot, source) for source in sorted(ids)])


def report_joint(joint: Joint) -> JointVerdict:
    """Return a joint as one line of an answer."""
    return JointVerdict(place=joint.place, verdict=joint.verdict)


def report_finding(snapshot: Snapshot, finding: Finding, has_remedy: bool = True) -> FindingAnswer:
    """Return a finding in the shape of answers.

    Args:
        snapshot: the knowledge.
        finding: what was found.
        has_remedy: whether to say what would make it right.
    """
    shown = _Shown(snapshot, finding)
    return FindingAnswer(
        code=finding.code,
        verdict=finding.verdict,
        judgement=finding.judgement,
        requirement=finding.requirement.id if finding.requirement else None,
        state=finding.requirement.state if finding.requirement else None,
        decides=finding.decides and finding.judgement is Judgement.GAP,
        place=finding.place,
        sentence=finding_sentence(snapshot, finding),
        remedy=finding_remedy(snapshot, finding) if has_remedy else None,
        remedy_parts=finding.remedies,
        quantities=tuple(shown.quantities),
        limits=tuple(shown.limits),
        rules=tuple(shown.rules),
        facts=tuple(shown.facts),
        missing=tuple(shown.missing),
        rivals=tuple(dict.fromkeys(shown.rivals)),
        disputes=tuple(shown.disputes),
        cautions=tuple(dict.fromkeys(shown.cautions)),
        sources=tuple(sorted(set(shown.sources))),
    )


class _Shown:
    """The evidence of a finding in the shape of answers, by the field it belongs to; gone through once."""

    __slots__ = (
        "_is_met", "_snapshot", "cautions", "disputes", "facts", "limits", "missing", "quantities", "rivals", "rules",
        "sources",
    )  # fmt: skip

    def __init__(self, snapshot: Snapshot, finding: Finding) -> None:
        self._snapshot = snapshot
        self._is_met = finding.code != RULE_NOT_MET
        self.quantities: list[QuantityValue] = []
        self.limits: list[CitedLimit] = []
        self.rules: list[CitedRule] = []
        self.facts: list[CitedFact] = []
        self.missing: list[MissingValue] = []
        self.disputes: list[CitedDispute] = []
        self.rivals: list[str] = []
        self.cautions: list[str] = []
        self.sources: list[str] = []
        for node in finding.evidence:
            self._ADD[type(node)](self, node)

    def _number(self, number: Number) -> None:
        quantity = self._snapshot.get(Quantity, number.quantity_id)
        self.quantities.append(
            QuantityValue(
                name=quantity.id,
                title=quantity.title,
                value=number.value,
                unit=quantity.unit,
                formula=quantity.formula_id,
                inputs=tuple(map(self._cited, dict.fromkeys(_facts_in(number)))),
            )
        )

    def _cited(self, fact: Fact) -> CitedFact:
        if not fact.source_id:
            return report_fact(fact)  # what askers give is not kept
        self.sources.append(fact.source_id)
        reported: CitedFact = self._snapshot.memo.reported.get(fact, report_fact, fact)
        return reported

    def _fact(self, fact: Fact) -> None:
        self.facts.append(self._cited(fact))

    def _limit(self, check: LimitCheck) -> None:
        self.limits.append(_reported_limit(self._snapshot, check))
        self.sources.append(check.limit.source_id)
        if not check.holds:
            self.cautions += check.limit.caution_ids

    def _rule(self, hit: RuleHit) -> None:
        rule = hit.rule
        self.rules.append(_reported_rule(self._snapshot, hit))
        self.sources.append(rule.source_id)
        self.sources += [one.origin.source_id for one in hit.conditions if one.origin is not None]
        if self._is_met:
            self.cautions += rule.caution_ids
            self.disputes += map(report_dispute, self._snapshot.disputes(rule.id))

    def _missing(self, missing: Missing) -> None:
        self.missing.append(report_missing(missing))

    def _rival(self, rival: Rival) -> None:
        self.rivals += rival.others

    _ADD: ClassVar[Mapping[type, Callable[[_Shown, Any], None]]] = MappingProxyType(
        {Number: _number, LimitCheck: _limit, RuleHit: _rule, Fact: _fact, Missing: _missing, Rival: _rival}
    )


def _facts_in(number: Number) -> list[Fact]:
    """Return the facts that went into a number, through all numbers between."""
    facts: list[Fact] = []
    for node in number.inputs:
        if type(node) is Fact:
            facts.append(node)
        elif type(node) is Number:
            facts += _facts_in(node)
    return facts


def report_fact(fact: Fact) -> CitedFact:
    """Return a fact in the shape of answers."""
    return CitedFact(
        row=fact.row_id,
        column=fact.column,
        value=float(fact.value) if isinstance(fact.value, int) else fact.value,
        given=not fact.source_id,
        source=fact.source_id or None,
        locator=fact.locator or None,
    )


def _reported_limit(snapshot: Snapshot, check: LimitCheck) -> CitedLimit:
    reported: CitedLimit = snapshot.memo.reported.get((check.limit.id, check.holds), report_limit, check)
    return reported


def _reported_rule(snapshot: Snapshot, hit: RuleHit) -> CitedRule:
    """Return a rule in the shape of answers; what its conditions say depends on the question and is not kept."""
    if hit.conditions:
        return report_rule(hit)
    key = hit.rule.id, hit.subject_id, hit.object_id
    reported: CitedRule = snapshot.memo.reported.get(key, report_rule, hit)
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
        level=rule.level,
        scope=rule.scope.value,
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
        computed=check.is_computed,
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
        authors=row.authors,
        publisher=row.publisher,
        year=row.year,
        edition=row.edition,
        address_kind=row.address_kind.value if row.address_kind else None,
        address=row.address,
        how_seen=row.how_seen.value,
        carriers=row.carriers,
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
