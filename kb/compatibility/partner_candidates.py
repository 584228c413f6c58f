"""Candidates for a joint, closest first, without looking at every part.

Owns: which archetypes are worth judging beside a part, and in which order. Does not own: judging them
(`kb/compatibility/joints/joint.py`). Sizes order the candidates; they never decide: whoever asks judges each candidate
and stops when it has enough.
"""

from __future__ import annotations

import dataclasses
from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from functools import cached_property
from itertools import chain, combinations, zip_longest
from typing import Any

from kb.compatibility.fitting_index import FittingIndex
from kb.compatibility.joints.joint import judge_joint
from kb.parts.part import Element, ElementKind, Part
from kb.parts.resolver import Resolver
from kb.store.snapshot import Snapshot
from schemas.tables.fitting_ends import EndKind, FittingEnd
from schemas.tables.fittings import Fitting
from schemas.tables.ports import Port
from schemas.tables.threads import Thread, ThreadGender
from schemas.tables.tubes import Tube
from schemas.verdict import Verdict

SOFT_TUBE = "family/tube-soft"
_STRETCHING = frozenset({ElementKind.BARB, ElementKind.SOFT_COMPRESSION})
_RINGED = frozenset({ElementKind.RIGID_COMPRESSION, ElementKind.PUSH_IN})
_COUPLED = frozenset({ElementKind.COUPLING_PLUG, ElementKind.COUPLING_SOCKET})
_SIDE_OF_END = {EndKind.MALE_THREAD: ThreadGender.EXTERNAL, EndKind.FEMALE_THREAD: ThreadGender.INTERNAL}
_ACCEPTED = (Verdict.COMPATIBLE, Verdict.CONDITIONAL)


class PartnerIndex:
    """Sorted sizes and threads of all archetypes; each list is made when it is first needed."""

    def __init__(self, snapshot: Snapshot, resolver: Resolver) -> None:
        self._snapshot = snapshot
        self._resolver = resolver
        self._mates: dict[tuple[str, ThreadGender], tuple[str, ...]] = {}
        self.fitting_index = FittingIndex(snapshot, resolver, self.candidates)

    def warm_up(self) -> None:
        """Find the fittings of the thread that most of them have, and with them what the search uses."""
        ends = Counter(thread for (thread, _), fittings in self._ends_by_thread.items() for _ in fittings)
        for thread, _ in ends.most_common(1):
            self.fitting_index.of(self._resolver.archetype(thread, "thread"))

    def precompute(self) -> Iterator[str]:
        """Find which fittings join each archetype, and yield its id: the first refusal of a part needs them all."""
        ids = {
            "thread": [row.id for row in self._snapshot.active(Thread)],
            "port": [row.id for row in self._snapshot.active(Port)],
            "tube": [row.id for row in self._snapshot.active(Tube)],
            "fitting": [row.id for row in self._snapshot.active(Fitting)],
        }
        for kind, known in ids.items():
            for one in known:
                part = self._resolver.archetype(one, kind)
                self.fitting_index.of(part)
                if kind == "tube":
                    self.fitting_index.compatible_fittings(part)
                yield one

    def candidates(self, part: Part, kind: str) -> Iterator[str]:
        """Yield ids of archetypes of a kind that may join the part, closest first, each once.

        Args:
            part: the part they shall join.
            kind: fitting, tube, port or thread.
        """
        finders = {
            "fitting": self._fittings,
            "tube": self._tubes,
            "port": self._ports,
            "thread": self._threads,
        }
        streams = [finders[kind](element) for element in part.elements]
        return _once(_alternating(streams))

    def _fittings(self, element: Element) -> Iterator[str]:
        if element.kind is ElementKind.TUBE:
            return self._fittings_for_tube(element)
        if element.kind in _COUPLED:
            return iter(self._coupling_fittings)
        thread = element.thread or (element if element.kind is ElementKind.THREAD else None)
        return self._fittings_for_thread(element, thread) if thread is not None else iter(())

    def _fittings_for_tube(self, tube: Element) -> Iterator[str]:
        row = tube.row
        assert isinstance(row, Tube)
        made_for_both = self._ends_by_both.get((row.id_mm, row.od_mm), ())
        on_barb = _nearest(self._ends_by_barb, row.id_mm) if row.id_mm is not None else iter(())
        in_o_ring_socket = _nearest(self._ends_by_socket, row.od_mm) if row.od_mm is not None else iter(())
        if SOFT_TUBE in tube.families:
            return chain(made_for_both, on_barb)
        return in_o_ring_socket if len(tube.families) > 1 else _alternating([on_barb, in_o_ring_socket])

    def _fittings_for_thread(self, element: Element, thread: Element) -> Iterator[str]:
        wanted = []
        if element.gender in (ThreadGender.INTERNAL, ThreadGender.EITHER):
            wanted.append(ThreadGender.EXTERNAL)
        if element.gender in (ThreadGender.EXTERNAL, ThreadGender.EITHER):
            wanted.append(ThreadGender.INTERNAL)
        for side in wanted:
            for thread_id in self.mating_threads(thread, side):
                yield from self._ends_by_thread.get((thread_id, side), ())

    def _tubes(self, element: Element) -> Iterator[str]:
        row = element.row
        if element.kind in _STRETCHING and isinstance(row, FittingEnd):
            size = row.tube_id_mm or row.barb_od_mm
            return _nearest(self._soft_tubes, size) if size else iter(())
        if element.kind in _RINGED and isinstance(row, FittingEnd):
            size = row.tube_od_mm or row.socket_bore_mm
            return _nearest(self._hard_tubes, size) if size else iter(())
        return iter(())

    def _ports(self, element: Element) -> Iterator[str]:
        thread = element.thread or (element if element.kind is ElementKind.THREAD else None)
        if thread is None or element.gender is ThreadGender.INTERNAL:
            return
        for thread_id in self.mating_threads(thread, ThreadGender.INTERNAL):
            yield from self._ports_by_thread.get(thread_id, ())

    def _threads(self, element: Element) -> Iterator[str]:
        thread = element.thread or (element if element.kind is ElementKind.THREAD else None)
        if thread is None:
            return
        for side in (ThreadGender.EXTERNAL, ThreadGender.INTERNAL):
            if element.gender is not side:
                yield from self.mating_threads(thread, side)

    def mating_threads(self, thread: Element, side: ThreadGender) -> tuple[str, ...]:
        """Return the threads that, on one side, mate with a thread on the other: its own first.

        Args:
            thread: a thread element.
            side: the side of the threads that are sought.
        """
        key = (thread.row.id, side)
        is_archetype = self._snapshot.row(thread.row.id) is thread.row
        found = self._mates.get(key) if is_archetype else None
        if found is None:
            found = tuple(self._mating(thread, side))
            if is_archetype:
                self._mates[key] = found
        return found

    def _mating(self, thread: Element, side: ThreadGender) -> Iterator[str]:
        own = _on_side(thread, _other(side))
        rows = sorted(self._snapshot.active(Thread), key=lambda row: (row.id != thread.row.id, row.id))
        for row in rows:
            if row.gender not in (side, ThreadGender.EITHER):
                continue
            other = _on_side(self._resolver.archetype(row.id, "thread").elements[0], side)
            if judge_joint(self._snapshot, own, other, {}).verdict in _ACCEPTED:
                yield row.id

    @cached_property
    def _ends_by_thread(self) -> dict[tuple[str, ThreadGender], list[str]]:
        index: dict[tuple[str, ThreadGender], list[str]] = defaultdict(list)
        for end in self._snapshot.active(FittingEnd):
            side = _SIDE_OF_END.get(end.end_kind)
            if side is not None and end.thread_id is not None:
                index[end.thread_id, side].append(end.fitting_id)
        return index

    @cached_property
    def _ports_by_thread(self) -> dict[str, list[str]]:
        index: dict[str, list[str]] = defaultdict(list)
        for port in self._snapshot.active(Port):
            index[port.thread_id].append(port.id)
        return index

    @cached_property
    def _ends_by_barb(self) -> list[tuple[float, str]]:
        ends = self._snapshot.active(FittingEnd)
        return sorted((end.tube_id_mm or end.barb_od_mm, end.fitting_id) for end in ends if end.barb_od_mm is not None)

    @cached_property
    def _ends_by_both(self) -> dict[tuple[float | None, float | None], list[str]]:
        index: dict[tuple[float | None, float | None], list[str]] = defaultdict(list)
        for end in self._snapshot.active(FittingEnd):
            if end.tube_id_mm is not None and end.tube_od_mm is not None:
                index[end.tube_id_mm, end.tube_od_mm].append(end.fitting_id)
        return index

    @cached_property
    def _ends_by_socket(self) -> list[tuple[float, str]]:
        ends = self._snapshot.active(FittingEnd)
        sized = [end for end in ends if end.socket_bore_mm is not None]
        return sorted((end.tube_od_mm or end.socket_bore_mm or 0.0, end.fitting_id) for end in sized)

    def couplers(self, first: tuple[str, ThreadGender], second: tuple[str, ThreadGender]) -> tuple[str, ...]:
        """Return the fittings with one thread on either named side.

        Args:
            first: thread id and side of one end.
            second: thread id and side of another end.
        """
        return tuple(self._couplers.get(frozenset({(*first, 0), (*second, int(first == second))}), ()))

    @cached_property
    def _couplers(self) -> dict[frozenset[tuple[str, ThreadGender, int]], list[str]]:
        """Fittings by every pair of their threaded ends; the number tells two equal ends apart."""
        by_fitting: dict[str, list[tuple[str, ThreadGender]]] = defaultdict(list)
        for (thread_id, side), fittings in self._ends_by_thread.items():
            for fitting in fittings:
                by_fitting[fitting].append((thread_id, side))
        index: dict[frozenset[tuple[str, ThreadGender, int]], list[str]] = defaultdict(list)
        for fitting, ends in sorted(by_fitting.items()):
            for key in {frozenset({(*one, 0), (*other, int(one == other))}) for one, other in combinations(ends, 2)}:
                index[key].append(fitting)
        return index

    @cached_property
    def _coupling_fittings(self) -> tuple[str, ...]:
        kinds = (EndKind.COUPLING_PLUG, EndKind.COUPLING_SOCKET)
        return tuple(end.fitting_id for end in self._snapshot.active(FittingEnd) if end.end_kind in kinds)

    @cached_property
    def _soft_tubes(self) -> list[tuple[float, str]]:
        return sorted((row.id_mm, row.id) for row in self._tubes_of(soft=True) if row.id_mm is not None)

    @cached_property
    def _hard_tubes(self) -> list[tuple[float, str]]:
        return sorted((row.od_mm, row.id) for row in self._tubes_of(soft=False) if row.od_mm is not None)

    def _tubes_of(self, soft: bool) -> Iterator[Tube]:
        for row in self._snapshot.active(Tube):
            if (SOFT_TUBE in self._snapshot.families(row.family_id)) is soft:
                yield row


def _other(side: ThreadGender) -> ThreadGender:
    return ThreadGender.INTERNAL if side is ThreadGender.EXTERNAL else ThreadGender.EXTERNAL


def _on_side(thread: Element, side: ThreadGender) -> Element:
    return dataclasses.replace(thread, gender=side)


def _nearest(sized: list[tuple[float, str]], size: float) -> Iterator[str]:
    """Yield ids in the order of their distance from a size, by walking outwards from it."""
    right = bisect_left(sized, (size, ""))
    left = right - 1
    while left >= 0 or right < len(sized):
        goes_left = right >= len(sized) or (left >= 0 and size - sized[left][0] < sized[right][0] - size)
        yield sized[left if goes_left else right][1]
        if goes_left:
            left -= 1
        else:
            right += 1


def _alternating(streams: Iterable[Iterator[str]]) -> Iterator[str]:
    return (one for group in zip_longest(*streams) for one in group if one is not None)


def _once(ids: Iterable[Any]) -> Iterator[Any]:
    seen: set[Any] = set()
    for one in ids:
        if one not in seen:
            seen.add(one)
            yield one
