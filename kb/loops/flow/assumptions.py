"""What the flow of one loop had to assume, remembered.

Owns: keeping the rows that were used. Does not own: choosing between question and rows (`kb/loops/assumptions.py`).
"""

from __future__ import annotations

from kb.evidence.tree import Fact
from kb.loops.assumptions import Given, given_or_assumed
from kb.loops.loop import ResolvedLoop
from kb.store.snapshot import Snapshot
from schemas.tables.assumptions import Assumption


class Assumptions:
    """What a loop does not say; made anew for each question."""

    def __init__(self, snapshot: Snapshot, loop: ResolvedLoop) -> None:
        self._snapshot = snapshot
        self._loop = loop
        self._given: dict[str, Given] = {}

    def fact(self, quantity_id: str) -> Fact:
        """Return the value of a quantity as the conditions of the question state it, else as it is assumed.

        Raises:
            LookupError: if neither says it.
        """
        if quantity_id not in self._given:
            self._given[quantity_id] = given_or_assumed(self._snapshot, self._loop, quantity_id)
        return self._given[quantity_id].fact

    def value(self, quantity_id: str) -> float:
        """Return the value of a quantity alone.

        Raises:
            LookupError: as `fact`.
        """
        self.fact(quantity_id)
        return self._given[quantity_id].value

    @property
    def used(self) -> tuple[Assumption, ...]:
        """The rows that were used."""
        return tuple(given.row for given in self._given.values() if given.row is not None)
