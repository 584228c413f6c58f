"""The question: what goes between these two parts?

Owns: chains of up to three fittings from one part to the other. Does not own: judging joints (`kb/joint.py`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import islice, permutations, product
from typing import NamedTuple, TypeAlias

from kb.explain import tell_joint
from kb.joint import Joint, can_be_computed, judge_joint
from kb.pair import decide_pair
from kb.partner_index import PartnerIndex
from kb.parts import Element, Part
from kb.resolve import Resolver
from kb.snapshot import Snapshot
from kb.wording import joint_sentence
from schemas.answers import BetweenAnswer, ChainTold
from schemas.questions import BetweenQuestion
from schemas.tables.threads import ThreadGender
from schemas.verdict import Verdict, worst

MOST_JUDGED = 1000  # bounds the work of one question, whatever the size of the tables
MOST_ALIKE = 5  # fittings with the same free thread that are tried, the simplest and closest first
ACCEPTED = (Verdict.COMPATIBLE, Verdict.CONDITIONAL)


_OTHER_PURPOSE = frozenset(
    {
        "family/fitting-bulkhead",
        "family/fitting-quick-coupling",
        "family/fitting-splitter",
        "family/fitting-valve",
    }
)

ThreadKey: TypeAlias = tuple[str, ThreadGender]


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
        reason=None if chains else "No chain of up to three fittings in the tables leads from one to the other.",
    )


def find_chains(
    snapshot: Snapshot, resolver: Resolver, index: PartnerIndex, ends: tuple[Part, Part], limit: int
) -> list[Chain]:
    """Return the best chains of one fitting; of two where no single one serves; of three where no two serve.

    Args:
        snapshot: the knowledge.
        resolver: finds parts.
        index: offers candidates.
        ends: the two parts to be connected.
        limit: most chains to return.
    """
    first = list(_footholds(snapshot, resolver, index, ends[0]))
    second = list(_footholds(snapshot, resolver, index, ends[1]))
    chains = _best_first(_single(first, second))
    if not chains:
        chains = _best_first(_double(snapshot, first, second))
    if not chains:
        chains = _best_first(_triple(snapshot, resolver, index, (first, second)))
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
    """Join a fitting at either part by their free threaded ends."""
    by_thread = _by_free_thread(second)
    for key, ways in _by_free_thread(first).items():
        for (one, end), (other, opposite) in product(ways[:MOST_ALIKE], by_thread.get(_facing(key), [])[:MOST_ALIKE]):
            if one.part is not other.part:
                yield from _joined(snapshot, (one, end), (other, opposite))


def _triple(
    snapshot: Snapshot, resolver: Resolver, index: PartnerIndex, footholds: tuple[list[Foothold], list[Foothold]]
) -> Iterator[Chain]:
    """Join a fitting at either part by a third one between their free threaded ends."""
    first, second = (_by_free_thread(one) for one in footholds)
    for one_key, other_key in product(first, second):
        for coupler in index.couplers(_facing(one_key), _facing(other_key))[:MOST_ALIKE]:
            middle = resolver.archetype(coupler, "fitting")
            for one, other in product(first[one_key][:MOST_ALIKE], second[other_key][:MOST_ALIKE]):
                yield from _joined_by(snapshot, one, middle, other)


def _joined_by(
    snapshot: Snapshot, one: tuple[Foothold, Element], middle: Part, other: tuple[Foothold, Element]
) -> Iterator[Chain]:
    for entering, leaving in permutations(middle.elements, 2):
        if not (can_be_computed(one[1], entering) and can_be_computed(leaving, other[1])):
            continue
        joints = [judge_joint(snapshot, one[1], entering, {}), judge_joint(snapshot, leaving, other[1], {})]
        if all(joint.verdict in ACCEPTED for joint in joints):
            parts = (one[0].part, middle, other[0].part)
            yield Chain(parts, (one[0].joint, *joints, other[0].joint), one[0].rank + other[0].rank)


def _by_free_thread(footholds: list[Foothold]) -> dict[ThreadKey, list[tuple[Foothold, Element]]]:
    """Group footholds by thread and side of their free ends, simplest body and closest size first."""
    groups: dict[ThreadKey, list[tuple[Foothold, Element]]] = defaultdict(list)
    for foothold in sorted(footholds, key=lambda one: (one.joint.verdict.severity, len(one.part.elements), one.rank)):
        for end in foothold.part.elements:
            if end is not foothold.used and end.thread is not None and end.gender is not None:
                groups[end.thread.row.id, end.gender].append((foothold, end))
    return groups


def _facing(key: ThreadKey) -> ThreadKey:
    thread, side = key
    return thread, ThreadGender.INTERNAL if side is ThreadGender.EXTERNAL else ThreadGender.EXTERNAL


def _joined(snapshot: Snapshot, one: tuple[Foothold, Element], other: tuple[Foothold, Element]) -> Iterator[Chain]:
    middle = judge_joint(snapshot, one[1], other[1], {})
    if middle.verdict in ACCEPTED:
        parts = (one[0].part, other[0].part)
        yield Chain(parts, (one[0].joint, middle, other[0].joint), one[0].rank + other[0].rank)


def _best_first(chains: Iterable[Chain]) -> list[Chain]:
    """Sort chains and keep the best one of every row of fittings."""
    best: dict[tuple[str, ...], Chain] = {}
    for chain in sorted(chains, key=_preference):
        best.setdefault(tuple(fitting.id for fitting in chain.fittings), chain)
    return list(best.values())


def _preference(chain: Chain) -> tuple[int, int, int, int, tuple[str, ...]]:
    """Mildest verdict first, then bodies without another purpose and with few ends, then closest sizes, then names."""
    others = sum(not _OTHER_PURPOSE.isdisjoint(fitting.families) for fitting in chain.fittings)
    ends = sum(len(fitting.elements) for fitting in chain.fittings)
    return chain.verdict.severity, others, ends, chain.rank, tuple(fitting.id for fitting in chain.fittings)


def _tell(snapshot: Snapshot, chain: Chain) -> ChainTold:
    findings = [finding for joint in chain.joints for finding in joint.findings]
    return ChainTold(
        parts=tuple(fitting.id for fitting in chain.fittings),
        verdict=chain.verdict,
        joints=tuple(tell_joint(joint) for joint in chain.joints),
        reason=joint_sentence(snapshot, findings),
    )
