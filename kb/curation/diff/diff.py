"""The question: what changes between two states of the tables, if one takes the place of the other?

Owns: putting rows, parts, pairs and example loops together. Does not own: any of these (one file each).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kb.curation.diff.kind_pairs import active_parts, all_pairs
from kb.curation.diff.loops import ExampleLoop, changed_loops, judge_loops
from kb.curation.diff.names import Pair, PartNames, names_of_parts
from kb.curation.diff.parts import changed_part
from kb.curation.diff.reach import Filing, Spot, reached_pairs, reaches, spots_of_change
from kb.curation.diff.revisions import Revision
from kb.curation.diff.rows import ChangedRow, changed_rows, report_row
from kb.curation.diff.verdicts import Side, changed_pairs, report_change
from kb.knowledge_base import KnowledgeBase
from kb.store.snapshot import Snapshot
from schemas.answers.changes import DiffAnswer, LoopChange, PartChange, RevisionName, VerdictChange


class TablesDiff:
    """Compares two states of the tables; made anew for each comparison."""

    def __init__(self, before: Revision, after: Revision) -> None:
        self._revisions = before, after
        self._rows = changed_rows(before.tables, after.tables)
        self._snapshots = Snapshot(before.tables), Snapshot(after.tables)
        self._sides = Side(self._snapshots[0]), Side(self._snapshots[1])
        self._kinds = active_parts(self._snapshots[0]), active_parts(self._snapshots[1])
        self._spots = _spots(self._rows, before, after)
        self._names = self._names_in_either()

    def answer(self, loops: Sequence[ExampleLoop] = ()) -> DiffAnswer:
        """Return everything that differs.

        Args:
            loops: example loops to judge.
        """
        shared = {part: kind for part, kind in self._kinds[0].items() if part in self._kinds[1]}
        pairs = list(all_pairs(shared))
        reached = reached_pairs(frozenset().union(*self._spots.values()), self._names, pairs)
        before, after = (RevisionName(name=one.name, version=one.tables.full_version) for one in self._revisions)
        return DiffAnswer(
            before=before,
            after=after,
            rows=tuple(report_row(change) for change in self._rows),
            parts=self._parts(),
            verdicts=self._verdicts(reached),
            loops=self._loops(loops),
            pairs=len(pairs),
            pairs_judged=len(reached),
            loops_judged=len(loops),
        )

    def _names_in_either(self) -> PartNames:
        if not self._spots:
            return PartNames({}, {}, frozenset())
        old, new = (names_of_parts(one.tables, kinds) for one, kinds in zip(self._revisions, self._kinds, strict=True))
        return old.joined(new)

    def _verdicts(self, reached: Sequence[Pair]) -> tuple[VerdictChange, ...]:
        found = changed_pairs(*self._sides, reached)
        return tuple(report_change(*self._sides, one, self._spots.keys(), self._reaching) for one in found)

    def _reaching(self, pair: Pair) -> Iterator[str]:
        names = self._names.of_pair(pair)
        return (row for row, spots in self._spots.items() if reaches(spots, names))

    def _parts(self) -> tuple[PartChange, ...]:
        old, new = self._kinds
        gone = [changed_part(part, self._sides[0], old, appears=False) for part in sorted(old.keys() - new.keys())]
        come = [changed_part(part, self._sides[1], new, appears=True) for part in sorted(new.keys() - old.keys())]
        return (*come, *gone)

    def _loops(self, loops: Sequence[ExampleLoop]) -> tuple[LoopChange, ...]:
        if not self._spots:
            return ()
        old, new = (judge_loops(KnowledgeBase(snapshot), loops) for snapshot in self._snapshots)
        return tuple(changed_loops(old, new, self._spots, self._names.wet))


def diff_tables(before: Revision, after: Revision, loops: Sequence[ExampleLoop] = ()) -> DiffAnswer:
    """Return what changes if one state of the tables takes the place of another.

    Args:
        before: how the tables were.
        after: how they are.
        loops: example loops to judge in both.
    """
    return TablesDiff(before, after).answer(loops)


def _spots(rows: Sequence[ChangedRow], before: Revision, after: Revision) -> dict[str, frozenset[Spot]]:
    """Return where every changed row is read, by its id; rows of which only words about them differ are left out."""
    if not rows:
        return {}
    old, new = Filing(before.tables), Filing(after.tables)
    found = {change.one.id: spots_of_change(change, old, new) for change in rows}
    return {row: spots for row, spots in found.items() if spots}
