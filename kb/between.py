"""The question: what goes between these two parts?

Owns: chains of one or two fittings from one part to the other. Does not own: judging joints (`kb/joint.py`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import islice
from typing import NamedTuple

from kb.explain import main_reason, tell_joint
from kb.joint import Joint, can_be_computed, judge_joint
from kb.pair import decide_pair
from kb.partner_index import PartnerIndex
from kb.parts import Element, Part
from kb.resolve import Resolver
from kb.snapshot import Snapshot
from schemas.answers import BetweenAnswer, ChainTold
from schemas.questions import BetweenQuestion
from schemas.tables.threads import ThreadGender
from schemas.verdict import Verdict, worst

MOST_JUDGED = 1000  # bounds the work of one question, whatever the size of the tables
ACCEPTED = (Verdict.COMPATIBLE, Verdict.CONDITIONAL)


class Foothold(NamedTuple):
    """A fitting that joins one of the two parts with one of its ends.

    Attributes:
        part: the fitting.
        used: the end that joins.
        joint: how it joins.
        rank: 0 for the closest candidate, and so on.
    """

    part: Part
    used: Element
    joint: Joint
    rank: int


class Chain(NamedTuple):
    """Fittings from a to b, and every joint on the way."""

    fittings: tuple[Part, ...]
    joints: tuple[Joint, ...]
    rank: int

    @property
    def verdict(self) -> Verdict:
        """Worst verdict of its joints."""
        return worst(joint.verdict for joint in self.joints)


def answer_between(
    snapshot: Snapshot, resolver: Resolver, index: PartnerIndex, question: BetweenQuestion
) -> BetweenAnswer:
    """Return what leads from one part to the other: fewest fittings first, then mildest verdict, then simplest.

    Args:
        snapshot: the knowledge.
        resolver: finds parts.
        index: offers candidates.
        question: the question.

    Raises:
        QuestionError: if a part does not exist.
    """
    a, b = resolver.part(question.a, "a"), resolver.part(question.b, "b")
    chains = find_chains(snapshot, resolver, index, (a, b), question.limit)
    return BetweenAnswer(
        kb_version=snapshot.version,
        a=a.id,
        b=b.id,
        direct=decide_pair(snapshot, a, b, {}).verdict,
        chains=tuple(_tell(snapshot, chain) for chain in chains),
        reason=None if chains else "No one or two fittings in the tables lead from one to the other.",
    )


def find_chains(
    snapshot: Snapshot, resolver: Resolver, index: PartnerIndex, ends: tuple[Part, Part], limit: int
) -> list[Chain]:
    """Return the best chains of one fitting; of two fittings where no single one serves.

    Args:
        snapshot: the knowledge.
        resolver: finds parts.
        index: offers candidates.
        ends: the two parts to be connected.
        limit: most chains to return.
    """
    first = list(_footholds(snapshot, resolver, index, ends[0]))
    second = list(_footholds(snapshot, resolver, index, ends[1]))
    chains = sorted(_single(first, second), key=_preference)
    if not chains:
        chains = sorted(_double(snapshot, first, second), key=_preference)
    return chains[:limit]


def _footholds(snapshot: Snapshot, resolver: Resolver, index: PartnerIndex, part: Part) -> Iterator[Foothold]:
    for rank, candidate in enumerate(islice(index.candidates(part, "fitting"), MOST_JUDGED)):
        fitting = resolver.archetype(candidate, "fitting")
        for end in fitting.elements:
            joints = [judge_joint(snapshot, one, end, {}) for one in part.elements if can_be_computed(one, end)]
            good = [joint for joint in joints if joint.verdict in ACCEPTED]
            if good:
                yield Foothold(fitting, end, min(good, key=lambda joint: joint.verdict.severity), rank)


def _single(first: list[Foothold], second: list[Foothold]) -> Iterator[Chain]:
    by_fitting: dict[str, list[Foothold]] = defaultdict(list)
    for foothold in second:
        by_fitting[foothold.part.id].append(foothold)
    for one in first:
        for other in by_fitting.get(one.part.id, ()):
            if one.used is not other.used:
                yield Chain((one.part,), (one.joint, other.joint), one.rank + other.rank)


def _double(snapshot: Snapshot, first: list[Foothold], second: list[Foothold]) -> Iterator[Chain]:
    """Join a fitting at either part by their free threaded ends; equal threads are judged once."""
    by_thread: dict[tuple[str, ThreadGender], list[tuple[Foothold, Element]]] = defaultdict(list)
    for other in second:
        for end in _free_threads(other):
            assert end.thread is not None and end.gender is not None
            by_thread[end.thread.row.id, end.gender].append((other, end))
    for one in first:
        for end in _free_threads(one):
            assert end.thread is not None
            facing = ThreadGender.INTERNAL if end.gender is ThreadGender.EXTERNAL else ThreadGender.EXTERNAL
            for other, opposite in by_thread.get((end.thread.row.id, facing), ()):
                if one.part is not other.part:
                    yield from _joined(snapshot, (one, end), (other, opposite))


def _joined(snapshot: Snapshot, one: tuple[Foothold, Element], other: tuple[Foothold, Element]) -> Iterator[Chain]:
    middle = judge_joint(snapshot, one[1], other[1], {})
    if middle.verdict in ACCEPTED:
        parts = (one[0].part, other[0].part)
        yield Chain(parts, (one[0].joint, middle, other[0].joint), one[0].rank + other[0].rank)


def _free_threads(foothold: Foothold) -> Iterator[Element]:
    return (end for end in foothold.part.elements if end.thread is not None and end is not foothold.used)


def _preference(chain: Chain) -> tuple[int, int, int, tuple[str, ...]]:
    """Mildest verdict first, then bodies with few ends, then closest sizes, then by name."""
    ends = sum(len(fitting.elements) for fitting in chain.fittings)
    return chain.verdict.severity, ends, chain.rank, tuple(fitting.id for fitting in chain.fittings)


def _tell(snapshot: Snapshot, chain: Chain) -> ChainTold:
    findings = [finding for joint in chain.joints for finding in joint.findings]
    return ChainTold(
        parts=tuple(fitting.id for fitting in chain.fittings),
        verdict=chain.verdict,
        joints=tuple(tell_joint(joint) for joint in chain.joints),
        reason=main_reason(snapshot, findings),
    )
