"""The question: do these two parts suit each other?

Owns: choosing, among the ways two parts can be joined, the one meant. Does not own: judging a joint (`kb/joint.py`).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from kb.joint import Joint, can_be_computed, judge_joint
from kb.parts import Part
from kb.snapshot import Snapshot
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


def decide_pair(snapshot: Snapshot, a: Part, b: Part, conditions: Mapping[str, float]) -> PairDecision:
    """Judge two parts by the best way of joining them; their order never matters.

    A fitting has several ends: those that can mate at all with the other part are judged, and the mildest verdict
    counts, because the builder will use that end. Where no ends can mate, what the rules say of them counts.

    Args:
        snapshot: the knowledge.
        a: a part with at least one element.
        b: another part.
        conditions: quantity id -> value the asker stated.
    """
    pairs = [(one, other) for one in a.elements for other in b.elements]
    mating = [pair for pair in pairs if can_be_computed(*pair)] or pairs
    if len(mating) == 1:
        joint = judge_joint(snapshot, *mating[0], conditions)
        return PairDecision(joint.verdict, joint, ())
    joints = sorted((judge_joint(snapshot, one, other, conditions) for one, other in mating), key=_preference)
    return PairDecision(joints[0].verdict, joints[0], tuple(joints[1:]))


def _preference(joint: Joint) -> tuple[int, str]:
    return joint.verdict.severity, joint.place
