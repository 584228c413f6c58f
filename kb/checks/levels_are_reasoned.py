"""An error, a warning and a note say why they have their level.

Owns: finding levels without a reason. Does not own: whether the reason is a good one.
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.level import Judgement
from schemas.tables.limits import Limit
from schemas.tables.rules import Rule

CODE = "LVL-001"
PROMISE = "An error, a warning and a note say why they have their level."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active row of a level that does not say why it has it."""
    rows: list[Rule | Limit] = [*tables.active(Rule), *tables.active(Limit)]
    for row in rows:
        if row.level not in (Judgement.PASS, Judgement.GAP) and row.level_reason is None:
            yield tables.fault(row, "level_reason", CODE, "is empty", "say in one sentence why it has this level")
