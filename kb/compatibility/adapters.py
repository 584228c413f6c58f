"""The question: what goes between these two parts?

Owns: chains of up to three fittings from one part to the other. Does not own: judging joints
(`kb/compatibility/joints/joint.py`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import permutations, product
from operator import itemgetter
from typing import NamedTuple

from kb.compatibility.fitting_index import FittingIndex, FittingMatch, FittingMatches, ThreadKey
from kb.compatibility.partner_candidates import PartnerIndex
from kb.parts.part import Element, Part
from kb.parts.resolver import Resolver
from schemas.tables.threads import ThreadGender
from schemas.verdict import Verdict, worst

MOST_ALIKE = 5  # fittings with the same free thread that are tried, the simplest and closest first

_OTHER_PURPOSE = frozenset(
    {
        "family/fitting-bulkhead",
        "family/fitting-quick-coupling",
        "family/fitting-splitter",
        "family/fitting-valve",
    }
)


class Chain(NamedTuple):
    """Fittings from a to b.

    Attributes:
        first: how the first fitting joins a.
        middle: the joints between fittings, as pairs of ends.
        last: how the last fitting joins b.
        fittings: all fittings in order.
        verdict: worst verdict of all joints on the way.
    """

    first: FittingMatch
    middle: tuple[tuple[Element, Element], ...]
    last: FittingMatch
    fittings: tuple[Part, ...]
    verdict: Verdict


def find_chains(resolver: Resolver, index: PartnerIndex, ends: tuple[Part, Part], limit: int) -> list[Chain]:
    """Return the best chains of one fitting; of two where no single one serves; of three where no two serve.

    Args:
        resolver: finds parts.
        index: offers candidates.
        ends: the two parts to be connected.
        limit: most chains to return.
    """
    first, second = index.fitting_index.of(ends[0]), index.fitting_index.of(ends[1])
    chains = _best_first(_single(first, second))
    if not chains:
        chains = _best_first(_double(index.fitting_index, first, second))
    if not chains:
        chains = _best_first(_triple(resolver, index, first, second))
    return chains[:limit]


def single_fittings(index: PartnerIndex, ends: tuple[Part, Part], limit: int) -> tuple[str, ...]:
    """Return the ids of the best fittings that lead from one part to the other without a second one.

    Args:
        index: offers candidates.
        ends: the two parts to be connected.
        limit: most fittings to return.
    """
    first, second = (index.fitting_index.of(end).by_fitting for end in ends)
    ranked = sorted(rank for one in first.keys() & second.keys() for rank in _rank(first[one], second[one]))
    return tuple(fitting for *_, fitting in ranked[:limit])


def _rank(first: Iterable[FittingMatch], second: Iterable[FittingMatch]) -> Iterator[tuple[int, int, int, int, str]]:
    """Yield what the chain of one fitting is preferred by, as `_preference` does, if its ends fit both parts."""
    ways = [
        (max(one.verdict.severity, other.verdict.severity), one.rank + other.rank, one.part)
        for one, other in product(first, second)
        if one.used is not other.used
    ]
    if ways:
        severity, ranks, fitting = min(ways, key=itemgetter(0, 1))
        yield severity, *_burden(fitting), ranks, fitting.id


def _single(first: FittingMatches, second: FittingMatches) -> Iterator[Chain]:
    for fitting in first.by_fitting.keys() & second.by_fitting.keys():
        for one, other in product(first.by_fitting[fitting], second.by_fitting[fitting]):
            if one.used is not other.used:
                yield Chain(one, (), other, (one.part,), worst((one.verdict, other.verdict)))


def _double(index: FittingIndex, first: FittingMatches, second: FittingMatches) -> Iterator[Chain]:
    """Join a fitting at either part by their free threaded ends."""
    for key, ways in first.by_thread.items():
        facing = second.by_thread.get(_facing(key), ())
        for (one, end), (other, opposite) in product(ways[:MOST_ALIKE], facing[:MOST_ALIKE]):
            verdict = index.accepted(end, opposite) if one.part is not other.part else None
            if verdict is not None:
                parts = (one.part, other.part)
                yield Chain(one, ((end, opposite),), other, parts, worst((one.verdict, verdict, other.verdict)))


def _triple(resolver: Resolver, index: PartnerIndex, first: FittingMatches, second: FittingMatches) -> Iterator[Chain]:
    """Join a fitting at either part by a third one between their free threaded ends."""
    for one_key, other_key in product(first.by_thread, second.by_thread):
        for coupler in index.couplers(_facing(one_key), _facing(other_key))[:MOST_ALIKE]:
            middle = resolver.archetype(coupler, "fitting")
            ways = product(first.by_thread[one_key][:MOST_ALIKE], second.by_thread[other_key][:MOST_ALIKE])
            for one, other in ways:
                yield from _joined_by(index.fitting_index, one, middle, other)


def _joined_by(
    index: FittingIndex, one: tuple[FittingMatch, Element], middle: Part, other: tuple[FittingMatch, Element]
) -> Iterator[Chain]:
    parts = (one[0].part, middle, other[0].part)
    for entering, leaving in permutations(middle.elements, 2):
        near, far = index.accepted(one[1], entering), index.accepted(leaving, other[1])
        if near is not None and far is not None:
            joints = ((one[1], entering), (leaving, other[1]))
            yield Chain(one[0], joints, other[0], parts, worst((one[0].verdict, near, far, other[0].verdict)))


def _facing(key: ThreadKey) -> ThreadKey:
    thread, side = key
    return thread, ThreadGender.INTERNAL if side is ThreadGender.EXTERNAL else ThreadGender.EXTERNAL


def _best_first(chains: Iterable[Chain]) -> list[Chain]:
    """Sort chains and keep the best one of every row of fittings."""
    best: dict[tuple[str, ...], Chain] = {}
    for chain in sorted(chains, key=_preference):
        best.setdefault(tuple(fitting.id for fitting in chain.fittings), chain)
    return list(best.values())


def _preference(chain: Chain) -> tuple[int, int, int, int, tuple[str, ...]]:
    """Mildest verdict first, then bodies without another purpose and with few ends, then closest sizes, then names."""
    others, ends = map(sum, zip(*map(_burden, chain.fittings), strict=True))
    ranks = chain.first.rank + chain.last.rank
    return chain.verdict.severity, others, ends, ranks, tuple(fitting.id for fitting in chain.fittings)


def _burden(fitting: Part) -> tuple[int, int]:
    """Return whether a body has another purpose than to lead on, and how many ends it has."""
    return not _OTHER_PURPOSE.isdisjoint(fitting.families), len(fitting.elements)
