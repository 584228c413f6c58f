"""No family is its own ancestor.

Owns: finding cycles among families. Does not own: parents that do not exist (`references_exist.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.families import Family

CODE = "FAM-001"
PROMISE = "No family is its own ancestor."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield one fault for every cycle, at its first family in the order of ids."""
    parents = {family.id: family.parent_id for family in tables.of(Family)}
    for family in tables.of(Family):
        cycle = _cycle(family.id, parents)
        if cycle and family.id == min(cycle):
            what = "is its own ancestor: " + " -> ".join([*cycle, family.id])
            yield tables.fault(family, "parent_id", CODE, what, "name a wider family as parent, or none at a root")


def _cycle(family: str, parents: dict[str, str | None]) -> list[str]:
    """Return the ids from a family upwards to itself; empty if it is no part of a cycle."""
    path: list[str] = []
    step: str | None = family
    while step is not None and step not in path:
        path.append(step)
        step = parents.get(step)
    return path if step == family else []
