"""One joint: which elements can meet, what rules and computations say about them, worst verdict.

Owns: the way from two elements to findings. Does not own: single kinds of joint (`kb/compatibility/joints/`), rule
resolution (`kb/evidence/rules.py`) or choosing among the ends of a fitting (`kb/compatibility/pair.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from types import MappingProxyType
from typing import NamedTuple, TypeAlias

from kb.compatibility.joints.coupling_joint import judge_coupling
from kb.compatibility.joints.o_ring_joint import judge_in_o_ring_socket
from kb.compatibility.joints.soft_tube_joint import judge_in_compression, judge_on_barb
from kb.compatibility.joints.thread_joint import judge_screwed
from kb.evidence.requirements import FactSource, settled_all, stated_met
from kb.evidence.rules import RULE_NOT_MET, rule_findings
from kb.evidence.tree import Finding, LimitCheck, Missing, RuleHit, verdict_of
from kb.parts.part import Element, ElementKind
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.messages import Gap
from schemas.tables.threads import ThreadGender
from schemas.verdict import Verdict

NOTHING_KNOWN = Gap.NOTHING_KNOWN.value
TUBE_KIND_MISSING = Gap.TUBE_KIND_MISSING.value

Judge: TypeAlias = Callable[[Snapshot, Element, Element, str], list[Finding]]

_TUBE_JUDGES: Mapping[ElementKind, Judge] = MappingProxyType(
    {
        ElementKind.BARB: judge_on_barb,
        ElementKind.SOFT_COMPRESSION: judge_in_compression,
        ElementKind.RIGID_COMPRESSION: judge_in_o_ring_socket,
        ElementKind.PUSH_IN: judge_in_o_ring_socket,
    }
)
_THREADED = frozenset({ElementKind.THREAD, ElementKind.PORT, ElementKind.MALE_THREAD, ElementKind.FEMALE_THREAD})


class Joint(NamedTuple):
    """What was found about one way of joining two elements.

    Attributes:
        first: the entering side where there is one (male thread, tube, plug).
        second: the other side.
        verdict: worst of the findings.
        findings: the reasons.
        reverse: the same two the other way round, where both ways are possible; the joint itself is the worse one.
        idle: rules that do not apply now and would change nothing if they did.
    """

    first: Element
    second: Element
    verdict: Verdict
    findings: tuple[Finding, ...]
    reverse: Joint | None = None
    idle: tuple[Finding, ...] = ()

    @property
    def place(self) -> str:
        """How the joint is named in answers."""
        return self.findings[0].place


def place_of(first: Element, second: Element) -> str:
    """Return the name of a joint, entering side first."""
    return f"{first.label} in {second.label}"


def screwed_place_of(male: Element, female: Element) -> str:
    """Return the name of a screwed joint."""
    return f"{male.label} (male) in {female.label} (female)"


def judge_joint(snapshot: Snapshot, one: Element, other: Element, conditions: Mapping[str, float]) -> Joint:
    """Judge two elements; their order never matters.

    Args:
        snapshot: the knowledge.
        one: an element.
        other: another element.
        conditions: quantity id -> value the asker stated.
    """
    first, second = _entering_first(one, other)
    if first.kind in _THREADED and second.kind in _THREADED:
        return _screwed(snapshot, first, second, conditions)
    place = place_of(first, second)
    findings = _rules(snapshot, first, second, place, conditions)
    if not _is_settled(findings):
        findings += _computed(snapshot, first, second, place)
    return make_joint(first, second, findings, place)


def can_be_computed(one: Element, other: Element) -> bool:
    """Return whether there is a computation for two kinds of elements; without one only rules can speak."""
    first, second = _entering_first(one, other)
    return (
        (first.kind in _THREADED and second.kind in _THREADED and bool(_directions(first, second)))
        or (first.kind is ElementKind.TUBE and second.kind in _TUBE_JUDGES)
        or (first.kind is ElementKind.COUPLING_PLUG and second.kind is ElementKind.COUPLING_SOCKET)
    )


def _entering_first(one: Element, other: Element) -> tuple[Element, Element]:
    """Put the pair into one order, whatever order it was asked in: tube, plug or male thread first."""
    first, second = one.order, other.order
    if first != second:
        return (one, other) if first < second else (other, one)
    # no id of their own: what they are decides; their names only where they are alike in all
    return (one, other) if (repr(one.row), one.label) <= (repr(other.row), other.label) else (other, one)


def _rules(
    snapshot: Snapshot, first: Element, second: Element, place: str, conditions: Mapping[str, float]
) -> list[Finding]:
    return rule_findings(snapshot, (first.rule_keys, second.rule_keys), place, conditions)


def _is_settled(findings: list[Finding]) -> bool:
    """Return whether a rule forbids the joint outright, so that dimensions no longer matter."""
    return Verdict.INCOMPATIBLE in [finding.verdict for finding in findings]


def _computed(snapshot: Snapshot, first: Element, second: Element, place: str) -> list[Finding]:
    if first.kind is ElementKind.TUBE and second.kind in _TUBE_JUDGES:
        findings = _TUBE_JUDGES[second.kind](snapshot, first, second, place)
        return findings + _tube_kind(first, place)
    if first.kind is ElementKind.COUPLING_PLUG and second.kind is ElementKind.COUPLING_SOCKET:
        return judge_coupling(snapshot, first, second, place)
    return []


def _tube_kind(tube: Element, place: str) -> list[Finding]:
    """Say that soft and rigid tube cannot be told apart where the asker named no family."""
    if len(tube.families) > 1:
        return []
    missing = Missing(tube.label, "kind of tube (soft, rigid plastic, copper ...)", "family")
    return [Finding(TUBE_KIND_MISSING, Judgement.GAP, place, (missing,))]


def make_joint(first: Element, second: Element, findings: list[Finding], place: str) -> Joint:
    """Return a joint from what was found: worst verdict; unknown if nothing was found that decides.

    Args:
        first: one side.
        second: the other side.
        findings: everything found, with rules that do not apply now.
        place: name of the joint.
    """
    deciding = [finding for finding in findings if finding.code != RULE_NOT_MET]
    has_others = len(deciding) < len(findings)
    if not deciding:
        nothing = Missing(place, "a rule or a computation for this pair", "")
        deciding = [Finding(NOTHING_KNOWN, Judgement.GAP, place, (nothing,))]
    if all(map(_is_unsure, deciding)):
        deciding.append(Finding(NOTHING_KNOWN, Judgement.GAP, place, (Missing(place, "a rule that surely holds", ""),)))
    verdict = verdict_of(deciding)
    if not has_others:
        return Joint(first, second, verdict, tuple(deciding))
    informative = [finding for finding in findings if finding.code == RULE_NOT_MET and _would_worsen(finding, verdict)]
    idle = tuple([one for one in findings if one.code == RULE_NOT_MET and one not in informative])
    return Joint(first, second, verdict, (*deciding, *informative), idle=idle)


def _is_unsure(finding: Finding) -> bool:
    """Return whether a finding is a note on a rule of which nobody knows whether it holds: alone it proves nothing."""
    if finding.judgement is not Judgement.NOTE:
        return False
    lead = finding.evidence[0]
    return isinstance(lead, RuleHit) and any(check.holds is None for check in lead.conditions)


def with_facts(snapshot: Snapshot, joint: Joint, facts: FactSource) -> Joint:
    """Return a joint with the states of its requirements as far as facts of its surroundings decide them.

    Args:
        snapshot: the knowledge.
        joint: as judged by itself.
        facts: what is known around it.
    """
    findings = tuple(settled_all(snapshot, joint.findings, facts))
    verdict = verdict_of(finding for finding in findings if finding.code != RULE_NOT_MET)
    reverse = with_facts(snapshot, joint.reverse, facts) if joint.reverse is not None else None
    return joint._replace(findings=findings, verdict=verdict, reverse=reverse)


def with_met(joint: Joint, met: Collection[str]) -> Joint:
    """Return a joint with the requirements met that the asker states; of two directions the worse one counts again.

    Args:
        joint: as facts alone decide it.
        met: ids of requirements.
    """
    if not met:
        return joint
    findings = tuple(stated_met(joint.findings, met))
    verdict = verdict_of(finding for finding in findings if finding.code != RULE_NOT_MET)
    stated = joint._replace(findings=findings, verdict=verdict, reverse=None)
    if joint.reverse is None:
        return stated
    reverse = with_met(joint.reverse, met)
    if reverse.verdict.severity > stated.verdict.severity:
        return reverse._replace(reverse=stated)
    return stated._replace(reverse=reverse)


def deciding_finding(joint: Joint) -> Finding:
    """Return the reason that is reported first: the most severe one, and of several the first that was found."""
    return max(joint.findings, key=lambda finding: (finding.weight, finding.code != RULE_NOT_MET))


def decided_by(joint: Joint) -> tuple[str, ...]:
    """Return the ids of the rules and limits that decide a joint, once each; none if nothing is known."""
    deciding = (finding for finding in joint.findings if finding.verdict is joint.verdict)
    return tuple(dict.fromkeys(row for finding in deciding for row in _rows_of(finding)))


def _rows_of(finding: Finding) -> Iterator[str]:
    for node in finding.evidence:
        if isinstance(node, RuleHit) and finding.code != RULE_NOT_MET:
            yield node.rule.id
        elif isinstance(node, LimitCheck):
            yield node.limit.id


def _would_worsen(finding: Finding, verdict: Verdict) -> bool:
    """Return whether a rule that does not apply now would make the verdict worse if it did."""
    hits = [node for node in finding.evidence if isinstance(node, RuleHit)]
    return max([hit.rule.level.verdict.severity for hit in hits], default=0) > verdict.severity


def _screwed(snapshot: Snapshot, first: Element, second: Element, conditions: Mapping[str, float]) -> Joint:
    """Judge threads on every side they can take; where both directions are possible the worse one counts."""
    directions = _directions(first, second)
    if not directions:
        place = place_of(first, second)
        findings = _rules(snapshot, first, second, place, conditions)
        return make_joint(first, second, findings, place)
    joints = [_one_direction(snapshot, male, female, conditions) for male, female in directions]
    joints.sort(key=lambda joint: -joint.verdict.severity)
    return joints[0]._replace(reverse=joints[1]) if len(joints) > 1 else joints[0]


def _directions(first: Element, second: Element) -> list[tuple[Element, Element]]:
    pairs = [(first, second)]
    if first.kind is ElementKind.THREAD and second.kind is ElementKind.THREAD and first.row != second.row:
        pairs.append((second, first))
    return [
        pair for pair in pairs if _can_be(pair[0], ThreadGender.EXTERNAL) and _can_be(pair[1], ThreadGender.INTERNAL)
    ]


def _can_be(element: Element, gender: ThreadGender) -> bool:
    return element.gender in (gender, ThreadGender.EITHER)


def _one_direction(snapshot: Snapshot, male: Element, female: Element, conditions: Mapping[str, float]) -> Joint:
    place = screwed_place_of(male, female)
    findings = judge_screwed(snapshot, male, female, place)
    findings += _rules(snapshot, male, female, place, conditions)
    return make_joint(male, female, findings, place)
