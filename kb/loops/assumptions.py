"""What the question states of a quantity, or what is assumed where it says nothing.

Owns: choosing between both. Does not own: the assumptions (rows of assumptions.csv).
"""

from __future__ import annotations

from typing import NamedTuple

from kb.evidence.tree import Fact
from kb.loops.loop import ResolvedLoop
from kb.store.snapshot import Snapshot
from schemas.tables.assumptions import Assumption


class Given(NamedTuple):
    """The value of a quantity and where it comes from.

    Attributes:
        value: in the quantity's unit.
        fact: where it stands.
        row: the assumption it is; `None` if the question states it.
    """

    value: float
    fact: Fact
    row: Assumption | None


def given_or_assumed(snapshot: Snapshot, loop: ResolvedLoop, quantity_id: str) -> Given:
    """Return a quantity as the conditions of the question state it, else as the tables assume it.

    Args:
        snapshot: the knowledge.
        loop: the loop.
        quantity_id: such as `quantity/air-temperature`.

    Raises:
        LookupError: if the question does not state it and no row assumes it.
    """
    column = quantity_id.removeprefix("quantity/").replace("-", "_")
    if quantity_id in loop.conditions:
        value = loop.conditions[quantity_id]
        return Given(value, Fact("conditions", column, value, "", ""), None)
    row = snapshot.assumption(quantity_id)
    if row is None:
        raise LookupError(quantity_id)
    return Given(row.value, Fact(row.id, "value", row.value, row.source_id, row.locator or ""), row)
