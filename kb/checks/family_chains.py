"""From a family to its root: what checks need to know of inheritance.

Owns: the chains of active families and of rows that name a family. Does not own: a check of its own.
"""

from __future__ import annotations

from kb.store.typed_rows import Tables
from schemas.tables.families import Family


def family_chains(tables: Tables) -> dict[str, tuple[str, ...]]:
    """Return family id -> the family and its ancestors, nearest first; a cycle ends where it closes."""
    parents = {family.id: family.parent_id for family in tables.active(Family)}
    return {family: _chain(family, parents) for family in parents}


def part_chains(tables: Tables) -> dict[str, tuple[str, ...]]:
    """Return the chains of all families and, with the row itself in front, of every row that names a family."""
    chains = family_chains(tables)
    parts = (row for rows in tables.rows.values() for row in rows if hasattr(row, "family_id"))
    return chains | {row.id: (row.id, *chains.get(row.family_id, ())) for row in parts}


def _chain(family: str, parents: dict[str, str | None]) -> tuple[str, ...]:
    chain: list[str] = []
    step: str | None = family
    while step is not None and step not in chain:
        chain.append(step)
        step = parents.get(step)
    return tuple(chain)
