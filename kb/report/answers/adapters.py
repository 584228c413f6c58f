"""The answer about what goes between two parts.

Owns: chains of fittings -> `BetweenAnswer`. Does not own: finding chains (`kb/compatibility/adapters.py`).
"""

from __future__ import annotations

from kb.compatibility.adapters import Chain, find_chains
from kb.compatibility.joints.joint import judge_joint
from kb.compatibility.pair import decide_pair
from kb.compatibility.partner_candidates import PartnerIndex
from kb.parts.part import Part
from kb.parts.resolver import Resolver
from kb.report.answers.evidence import report_joint
from kb.report.sentences.findings import joint_sentence
from kb.store.snapshot import Snapshot
from schemas.answers.answers import BetweenAnswer, FittingChain
from schemas.questions.questions import BetweenQuestion


def answer_between(
    snapshot: Snapshot, resolver: Resolver, index: PartnerIndex, question: BetweenQuestion
) -> BetweenAnswer:
    """Return what leads from one part to the other: fewest fittings first, then best verdict, then simplest.

    Args:
        snapshot: the knowledge.
        resolver: finds parts.
        index: offers candidates.
        question: the question.

    Raises:
        QuestionError: if a part does not exist.
    """
    a, b = resolver.part(question.a, "a"), resolver.part(question.b, "b")
    chains = find_chains(resolver, index, (a, b), question.limit)
    return BetweenAnswer(
        kb_version=snapshot.version,
        a=a.id,
        b=b.id,
        direct=decide_pair(snapshot, a, b, {}).verdict,
        chains=tuple(_report(snapshot, chain, (a, b)) for chain in chains),
        reason=None if chains else "No chain of up to three fittings in the tables leads from one to the other.",
    )


def _report(snapshot: Snapshot, chain: Chain, asked: tuple[Part, Part]) -> FittingChain:
    ends = (
        (asked[0].elements[chain.first.met], chain.first.used),
        *chain.middle,
        (asked[1].elements[chain.last.met], chain.last.used),
    )
    joints = [judge_joint(snapshot, *pair, {}) for pair in ends]
    findings = [finding for joint in joints for finding in joint.findings]
    return FittingChain(
        parts=tuple(fitting.id for fitting in chain.fittings),
        verdict=chain.verdict,
        joints=tuple(report_joint(joint) for joint in joints),
        reason=joint_sentence(snapshot, findings),
    )
