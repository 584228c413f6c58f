"""Requirements, strength of evidence and unused conditions, in the shape of answers.

Owns: findings -> what is left to do, how far the evidence carries, what was given in vain. Does not own: deciding any
of it (`kb/evidence/`).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Literal, NamedTuple, TypeAlias

from kb.evidence.requirements import can_be_stated
from kb.evidence.rules import RULE_NOT_MET
from kb.evidence.tree import Fact, Finding, LimitCheck, Number, RuleHit, verdict_of
from kb.report.sentences.facts import facts_in_words
from kb.store.snapshot import Snapshot
from schemas.answers.answers import CitedRequirement, Strength
from schemas.columns.provenance import Basis, Confidence
from schemas.level import Judgement, RequirementState
from schemas.tables.limits import Limit
from schemas.tables.requirements import Requirement
from schemas.tables.rules import Rule

MOST_NAMED = 3
Word: TypeAlias = Literal["high", "medium", "low"]

_STATES = (
    RequirementState.OPEN,
    RequirementState.CONTRADICTED,
    RequirementState.MET,
    RequirementState.IMPLIED,
    RequirementState.IDLE,
)
_STATE_ORDER = {state: place for place, state in enumerate(_STATES)}  # of several places the first counts
_LEVELS: Mapping[Confidence, Word] = {Confidence.HIGH: "high", Confidence.MEDIUM: "medium", Confidence.LOW: "low"}
_WEAKNESS = {confidence: place for place, confidence in enumerate(Confidence)}
_WEAK_WORDS = {
    Basis.COMMON_PRACTICE: "habit of the trade",
    Basis.FROM_MEMORY: "unverified estimate",
}


class Stated(NamedTuple):
    """What an asker states besides the parts.

    Attributes:
        conditions: ids of quantities.
        met: ids of requirements.
    """

    conditions: tuple[str, ...] = ()
    met: tuple[str, ...] = ()


NOTHING_STATED = Stated()


def report_requirements(
    snapshot: Snapshot, findings: Sequence[Finding], met: Collection[str] = ()
) -> tuple[CitedRequirement, ...]:
    """Return every requirement that warnings name, once each: open ones first, by priority, then what settles others.

    Args:
        snapshot: the knowledge.
        findings: everything that was found.
        met: ids that the asker states to be met; one that nothing asks for is idle.
    """
    named: dict[str, list[Finding]] = {}
    for finding in findings:
        if finding.requirement is not None and finding.judgement is Judgement.WARNING:
            named.setdefault(finding.requirement.id, []).append(finding)
    reported = [_report(snapshot, one, group) for one, group in named.items()]
    reported += [_idle(snapshot, one) for one in met if one not in named]
    return tuple(sorted(reported, key=lambda one: (_STATE_ORDER[one.state], one.priority, one.id)))


def _report(snapshot: Snapshot, requirement_id: str, findings: Sequence[Finding]) -> CitedRequirement:
    checks = [finding.requirement for finding in findings if finding.requirement is not None]
    left = min(checks, key=lambda one: (one.state not in _LEFT, _STATE_ORDER[one.state]))
    rows = tuple(dict.fromkeys(row.id for finding in findings for row in _deciding_rows(finding)))
    because = "; ".join(dict.fromkeys(one.because for one in checks if one.state is left.state and one.because))
    return _cited(snapshot, requirement_id, left.state, because, rows)


_LEFT = frozenset({RequirementState.OPEN, RequirementState.CONTRADICTED})


def _idle(snapshot: Snapshot, requirement_id: str) -> CitedRequirement:
    return _cited(snapshot, requirement_id, RequirementState.IDLE, "", ())


def _cited(
    snapshot: Snapshot, requirement_id: str, state: RequirementState, because: str, rows: tuple[str, ...]
) -> CitedRequirement:
    row = snapshot.get(Requirement, requirement_id)
    return CitedRequirement(
        id=row.id,
        state=state,
        priority=row.priority,
        sentence=row.sentence,
        how_it_is_met=row.how_it_is_met,
        how_it_is_checked=row.how_it_is_checked,
        because=(because if state is RequirementState.MET else facts_in_words(snapshot, because)) or None,
        rows=rows,
        can_be_stated=can_be_stated(snapshot, row.id),
        cautions=row.caution_ids,
    )


def _which(count: int) -> str:
    return "The one deciding row" if count == 1 else f"The weakest of {count} deciding rows"


def report_strength(findings: Sequence[Finding]) -> Strength:
    """Return how far the evidence carries that decides a verdict: as far as its weakest row.

    Args:
        findings: everything that was found.
    """
    verdict = verdict_of(findings)
    deciding = [one for one in findings if one.verdict is verdict and one.code != RULE_NOT_MET]
    rows = {row.id: row for finding in deciding for row in _deciding_rows(finding)}
    if not rows:
        return Strength(level="low", why="No row decides this: what is missing does.")
    weakest = max(rows.values(), key=lambda row: _WEAKNESS[row.confidence]).confidence
    weak = [row for row in rows.values() if row.confidence is weakest]
    words = sorted({_WEAK_WORDS.get(row.basis, row.basis.value) for row in weak})
    return Strength(
        level=_LEVELS[weakest],
        why=f"{_which(len(rows))} has {weakest.value} confidence ({', '.join(words)}).",
        rows=tuple(sorted(row.id for row in weak)[:MOST_NAMED]),
    )


def _deciding_rows(finding: Finding) -> Iterator[Rule | Limit]:
    for node in finding.evidence:
        if isinstance(node, RuleHit):
            yield node.rule
        elif isinstance(node, LimitCheck):
            yield node.limit


def unused_conditions(findings: Iterable[Finding], stated: Collection[str]) -> tuple[str, ...]:
    """Return the quantities that the asker stated and that no finding looks at.

    Args:
        findings: everything that was found, with rules that do not apply.
        stated: ids of quantities; without any, no finding is looked at.
    """
    if not stated:
        return ()
    used = {one for finding in findings for one in _quantities(finding)}
    return tuple(one for one in stated if one not in used)


def _quantities(finding: Finding) -> Iterator[str]:
    for node in finding.evidence:
        if isinstance(node, RuleHit):
            yield from (check.condition.quantity_id for check in node.conditions)
        elif isinstance(node, Number):
            yield from _of_number(node)


def _of_number(number: Number) -> Iterator[str]:
    yield number.quantity_id
    for node in number.inputs:
        if isinstance(node, Number):
            yield from _of_number(node)
        elif isinstance(node, Fact):
            yield f"quantity/{node.column.replace('_', '-')}"
