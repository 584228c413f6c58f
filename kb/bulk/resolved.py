"""The outcome of every pair of archetypes that was ever judged, as one array.

Owns: pairs of numbers -> outcomes, at the speed of memory. Does not own: judging (`kb/bulk/judging.py`) or keeping the
array between starts (`kb/bulk/kept_pairs.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from kb.bulk.judging import Judges
from kb.bulk.outcomes import Asked, Outcome

MOST_PARTS = 4096  # of the parts beyond it no pair is kept: the array would take more than 64 MiB
NOT_JUDGED = -1

Numbers = NDArray[np.int32]


class ResolvedPairs:
    """Outcomes of ordered pairs of archetypes, judged when first asked for."""

    def __init__(self, ids: Sequence[str], cells: Numbers | None = None, outcomes: Sequence[Outcome] = ()) -> None:
        """Take up pairs judged before, or none.

        Args:
            ids: ids of the archetypes; the place of an id is its number.
            cells: number of the outcome by number of the pair, `a * len(ids) + b`; `NOT_JUDGED` where nobody asked.
            outcomes: the outcomes by number.
        """
        self.ids = tuple(ids[:MOST_PARTS])
        size = len(self.ids)
        self.cells: Numbers = np.full(size * size, NOT_JUDGED, np.int32) if cells is None else cells
        self._numbers = {outcome: number for number, outcome in enumerate(outcomes)}

    @property
    def outcomes(self) -> tuple[Outcome, ...]:
        """Every outcome that was met so far, by its number."""
        return tuple(self._numbers)

    @property
    def judged(self) -> int:
        """How many ordered pairs have been judged."""
        return int(np.count_nonzero(self.cells != NOT_JUDGED))

    def pairs(self, a: NDArray[np.integer], b: NDArray[np.integer]) -> Numbers:
        """Return the numbers of pairs, given the numbers of their parts."""
        return a.astype(np.int32) * np.int32(len(self.ids)) + b.astype(np.int32)

    def look_up(self, pairs: Numbers, judges: Judges, done: Callable[[int], object] = int) -> Numbers:
        """Return the numbers of the outcomes of pairs; those never asked before are judged first, once each.

        Args:
            pairs: numbers of pairs.
            judges: judges them.
            done: given how many have been judged so far, now and then.
        """
        found = self.cells[pairs]
        if found.min(initial=0) == NOT_JUDGED:
            missing = np.zeros(len(self.cells), np.bool_)
            missing[pairs[found == NOT_JUDGED]] = True
            self._judge(np.flatnonzero(missing), judges, done)
            found = self.cells[pairs]
        return found

    def resolve_all(self, judges: Judges, done: Callable[[int], object] = int) -> None:
        """Judge every pair that has not been judged."""
        self._judge(np.flatnonzero(self.cells == NOT_JUDGED), judges, done)

    def number(self, outcome: Outcome) -> int:
        """Return the number of an outcome, a new one if it was never met."""
        return self._numbers.setdefault(outcome, len(self._numbers))

    def _judge(self, pairs: NDArray[np.integer], judges: Judges, done: Callable[[int], object]) -> None:
        """Judge pairs; their order never matters, so either of two orders counts for both."""
        size = len(self.ids)
        a, b = np.divmod(pairs, size)
        one_way = np.unique(np.minimum(a, b) * size + np.maximum(a, b))
        first, second = np.divmod(one_way, size)
        asked = [Asked(self.ids[one], self.ids[other]) for one, other in zip(first, second, strict=True)]
        numbers = [self.number(outcome) for outcome in judges.many(asked, done)]
        self.cells[one_way] = numbers
        self.cells[second * size + first] = numbers
