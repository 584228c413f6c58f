"""Which fittings join a part with one of their ends: found once for every archetype, then kept.

Owns: fitting matches, and the verdicts of plain joints between archetypes. Does not own: candidates
(`kb/compatibility/partner_candidates.py`), judging (`kb/compatibility/joints/joint.py`) or joining matches to
chains (`kb/compatibility/adapters.py`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from itertools import islice
from typing import NamedTuple, TypeAlias

from kb.compatibility.joints.joint import can_be_computed, judge_joint
from kb.compatibility.pair import decide_pair
from kb.parts.part import Element, Part
from kb.parts.resolver import Resolver
from kb.store.snapshot import Snapshot
from schemas.tables.fitting_ends import FittingEnd
from schemas.tables.threads import ThreadGender
from schemas.verdict import Verdict

MOST_JUDGED = 1000  # bounds the work of one question, whatever the size of the tables
MOST_TRIED = 40  # naming parts beside a refusal is a service, not the answer: it stays cheap
ACCEPTED = (Verdict.COMPATIBLE, Verdict.CONDITIONAL)

ThreadKey: TypeAlias = tuple[str, ThreadGender]


class FittingMatch(NamedTuple):
    """A fitting that joins a part with one of its ends.

    Attributes:
        part: the fitting.
        used: the end that joins.
        met: which element of the part it joins, counted from 0.
        verdict: how well.
        rank: 0 for the closest candidate, and so on.
    """

    part: Part
    used: Element
    met: int
    verdict: Verdict
    rank: int


class FittingMatches(NamedTuple):
    """All fittings that join a part.

    Attributes:
        closest_first: each with its rank.
        by_thread: those with a free threaded end, by its thread and side; simplest body and closest size first.
        by_fitting: all of them, by the id of the fitting.
    """

    closest_first: tuple[FittingMatch, ...]
    by_thread: Mapping[ThreadKey, tuple[tuple[FittingMatch, Element], ...]]
    by_fitting: Mapping[str, tuple[FittingMatch, ...]]


class FittingIndex:
    """Finds fitting matches over one snapshot."""

    def __init__(
        self, snapshot: Snapshot, resolver: Resolver, candidates: Callable[[Part, str], Iterator[str]]
    ) -> None:
        self._snapshot = snapshot
        self._resolver = resolver
        self._candidates = candidates

    def of(self, part: Part) -> FittingMatches:
        """Return the fittings that join a part, without any circumstances stated.

        Args:
            part: an archetype, or a part of a question.
        """
        plain = self._archetype_like(part)
        if plain is None:
            return self._find(part)
        found: FittingMatches = self._snapshot.memo.fittings.get(("join", plain.id), lambda: self._find(plain))
        return found

    def compatible_fittings(self, part: Part) -> tuple[Part, ...]:
        """Return the fittings among the closest ones that fit a part without any condition, closest first."""
        plain = self._archetype_like(part)
        if plain is None:
            return tuple(self._compatible(part))
        key = ("compatible", plain.id)
        found: tuple[Part, ...] = self._snapshot.memo.fittings.get(key, lambda: tuple(self._compatible(plain)))
        return found

    def accepted(self, one: Element, other: Element) -> Verdict | None:
        """Return how two ends of archetypes get on, without any circumstances stated; `None` if they do not.

        Args:
            one: an element that belongs to an archetype; those live as long as the snapshot.
            other: another one.
        """
        verdict = self._snapshot.memo.verdicts.get((one, other), lambda: self._judged(one, other))
        return verdict if verdict in ACCEPTED else None

    def _judged(self, one: Element, other: Element) -> Verdict:
        computed = can_be_computed(one, other)
        return judge_joint(self._snapshot, one, other, {}).verdict if computed else Verdict.UNKNOWN

    def _archetype_like(self, part: Part) -> Part | None:
        """Return the archetype that a part is under whatever name, `None` if the asker changed anything of it."""
        if self._resolver.keeps(part):
            return part
        element = part.elements[0]
        if isinstance(element.row, FittingEnd) or self._snapshot.row(element.row.id) is not element.row:
            return None
        plain = self._resolver.archetype(element.row.id, "part")
        return plain if plain.elements[0].is_like(element) else None

    def _find(self, part: Part) -> FittingMatches:
        found = tuple(self._matches(part))
        by_thread = {key: tuple(ways) for key, ways in _by_free_thread(found).items()}
        by_fitting: dict[str, tuple[FittingMatch, ...]] = {}
        for one in found:
            by_fitting[one.part.id] = (*by_fitting.get(one.part.id, ()), one)
        return FittingMatches(found, by_thread, by_fitting)

    def _matches(self, part: Part) -> Iterator[FittingMatch]:
        for rank, candidate in enumerate(islice(self._candidates(part, "fitting"), MOST_JUDGED)):
            fitting = self._resolver.archetype(candidate, "fitting")
            for end in fitting.elements:
                good = [way for way in self._ways(part, end) if way[1] in ACCEPTED]
                if good:
                    met, verdict = min(good, key=lambda way: way[1].severity)
                    yield FittingMatch(fitting, end, met, verdict, rank)

    def _compatible(self, part: Part) -> Iterator[Part]:
        for candidate in islice(self._candidates(part, "fitting"), MOST_TRIED):
            fitting = self._resolver.archetype(candidate, "fitting")
            if decide_pair(self._snapshot, part, fitting, {}).verdict is Verdict.COMPATIBLE:
                yield fitting

    def _ways(self, part: Part, end: Element) -> Iterator[tuple[int, Verdict]]:
        return ((index, self._judged(one, end)) for index, one in enumerate(part.elements))


def _by_free_thread(matches: tuple[FittingMatch, ...]) -> dict[ThreadKey, list[tuple[FittingMatch, Element]]]:
    """Group fitting matches by thread and side of their free ends, simplest body and closest size first."""
    groups: dict[ThreadKey, list[tuple[FittingMatch, Element]]] = defaultdict(list)
    for match in sorted(matches, key=lambda one: (one.verdict.severity, len(one.part.elements), one.rank)):
        for end in match.part.elements:
            if end is not match.used and end.thread is not None and end.gender is not None:
                groups[end.thread.row.id, end.gender].append((match, end))
    return groups
