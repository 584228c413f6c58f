"""The question: are these two parts compatible?

Owns: choosing, among the ways two parts can be joined, the one meant. Does not own: judging a joint
(`kb/compatibility/joints/joint.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import NamedTuple

from kb.compatibility.joints.joint import Joint, can_be_computed, judge_joint, make_joint, with_met
from kb.compatibility.materials.contact import content_keys, judge_substances
from kb.compatibility.materials.exposure import judge_mixture, judge_part_in_fluid
from kb.compatibility.materials.wetted_surfaces import Surface, surfaces_of
from kb.evidence.requirements import refuse_contradicted
from kb.evidence.rules import RuleKeys
from kb.parts.part import SUBSTANCES, Element, ElementKind, Part
from kb.store.snapshot import Snapshot
from schemas.verdict import Verdict


class PairDecision(NamedTuple):
    """What was decided about two parts.

    Attributes:
        verdict: verdict of the best way of joining them.
        joint: that way.
        others: the other ways that were judged.
    """

    verdict: Verdict
    joint: Joint
    others: tuple[Joint, ...]


def decide_pair(
    snapshot: Snapshot,
    a: Part,
    b: Part,
    conditions: Mapping[str, float],
    met: Mapping[str, str] = MappingProxyType({}),
) -> PairDecision:
    """Judge two parts by the best way of joining them; their order never matters.

    A fitting has several ends: those that can mate at all with the other part are judged, and the best verdict
    counts, because the builder will use that end. Where no ends can mate, what the rules say of them counts.

    Args:
        snapshot: the knowledge.
        a: a part with at least one element.
        b: another part.
        conditions: quantity id -> value the asker stated.
        met: id of a requirement that the asker states to be met -> where the question says so.

    Raises:
        QuestionError: if facts contradict what is stated to be met.
    """
    if met:
        return _with_met(snapshot, decide_pair(snapshot, a, b, conditions), met)
    if a.elements[0].kind in SUBSTANCES or b.elements[0].kind in SUBSTANCES:
        joint = _decide_substances(snapshot, a, b, conditions)
        return PairDecision(joint.verdict, joint, ())
    if len(a.elements) == len(b.elements) == 1:
        joint = judge_joint(snapshot, a.elements[0], b.elements[0], conditions)
        return PairDecision(joint.verdict, joint, ())
    pairs = [(one, other) for one in a.elements for other in b.elements]
    mating = [pair for pair in pairs if can_be_computed(*pair)] or pairs
    if len(mating) == 1:
        joint = judge_joint(snapshot, *mating[0], conditions)
        return PairDecision(joint.verdict, joint, ())
    joints = sorted((judge_joint(snapshot, one, other, conditions) for one, other in mating), key=_preference)
    return PairDecision(joints[0].verdict, joints[0], tuple(joints[1:]))


def _with_met(snapshot: Snapshot, decision: PairDecision, met: Mapping[str, str]) -> PairDecision:
    joints = (decision.joint, *decision.others)
    refuse_contradicted(snapshot, (finding for joint in joints for finding in joint.findings), met)
    best, *others = sorted((with_met(joint, met) for joint in joints), key=_preference)
    return PairDecision(best.verdict, best, tuple(others))


def rule_key_pairs(snapshot: Snapshot, elements: Sequence[Element]) -> Iterator[RuleKeys]:
    """Yield under which ids and families rules are sought when any of some elements meet, each once.

    Parts meet parts and substances meet substances, because a part meets a substance with its surfaces; additives
    meet what fluids contain, too. What enters comes first; among equals the ids decide, so either may.

    Args:
        snapshot: the knowledge.
        elements: of archetypes.
    """
    found = {(element.kind in SUBSTANCES, element.order[:2], element.rule_keys) for element in elements}
    yield from {
        (keys, other_keys)
        for is_substance, order, keys in found
        for other_is_substance, other_order, other_keys in found
        if is_substance is other_is_substance and (is_substance or order <= other_order)
    } | {
        keys
        for additive in elements
        if additive.kind is ElementKind.ADDITIVE
        for fluid in elements
        for _, keys in content_keys(snapshot, additive, fluid)
    }


def _preference(joint: Joint) -> tuple[int, str]:
    return joint.verdict.severity, joint.place


def _decide_substances(snapshot: Snapshot, a: Part, b: Part, conditions: Mapping[str, float]) -> Joint:
    """Judge two substances, or the surfaces of a part in a substance."""
    parts = [part for part in (a, b) if part.elements[0].kind not in SUBSTANCES]
    if not parts:
        joint = judge_substances(snapshot, a.elements[0], b.elements[0], conditions)
        return _with_additives(snapshot, joint, (a, b), conditions)
    (part,) = parts
    substance = b if part is a else a
    surfaces = _surfaces(snapshot, part)
    return judge_part_in_fluid(snapshot, surfaces, substance.elements[0], substance.additives, part.id, conditions)


def _surfaces(snapshot: Snapshot, part: Part) -> tuple[Surface, ...]:
    """Return the surfaces of a part; those of an archetype follow from rows alone and are found once."""
    if part.base_id == part.id:
        return snapshot.derive(("surfaces", part.id), lambda: surfaces_of(snapshot, part.id, part.families, {}))
    return surfaces_of(snapshot, part.id, part.families, dict(part.materials))


def _with_additives(
    snapshot: Snapshot, joint: Joint, pair: tuple[Part, Part], conditions: Mapping[str, float]
) -> Joint:
    """Add what the additives of a fluid do to the other side, to it and to one another, where a rule speaks of it."""
    findings = [*joint.findings, *joint.idle]
    for part, other in (pair, pair[::-1]):
        fluid = part.elements[0]
        met = [judge_substances(snapshot, one, other.elements[0], conditions, fluid) for one in part.additives]
        met += judge_mixture(snapshot, fluid, part.additives, {**fluid.stated, **conditions})
        findings += [finding for one in met for finding in one.findings if finding.code.startswith("rule-")]
    return make_joint(joint.first, joint.second, findings, joint.place)
