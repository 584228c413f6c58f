"""The limits that hold together for one quantity of one family, as resolution will find them.

Owns: collecting limits over the family tree. Does not own: a check of its own, or judging numbers
(`kb/evidence/limits.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kb.checks.family_chains import family_chains
from kb.store.typed_rows import Tables
from schemas.level import Judgement
from schemas.tables.limits import Comparison, Limit


@dataclass(frozen=True, slots=True)
class FamilyLimitSet:
    """Limits of one quantity for one family, inherited ones included.

    Attributes:
        family_id: the family they hold for.
        at_least: lower limits, the mildest level first.
        at_most: upper limits, the mildest level first.
    """

    family_id: str
    at_least: tuple[Limit, ...]
    at_most: tuple[Limit, ...]


def limit_sets(tables: Tables) -> Iterator[FamilyLimitSet]:
    """Yield the limit set of every family and quantity that has an active limit of its own.

    For each comparison and level the nearest family speaks, as in resolution.
    """
    chains = family_chains(tables)
    limits = tables.active(Limit)
    for family, quantity in sorted({(limit.family_id, limit.quantity_id) for limit in limits}):
        chosen: dict[tuple[Comparison, str], Limit] = {}
        for ancestor in chains.get(family, (family,)):
            for limit in limits:
                if (limit.family_id, limit.quantity_id) == (ancestor, quantity):
                    chosen.setdefault((limit.comparison, limit.level), limit)
        yield FamilyLimitSet(family, *(_side(chosen, side) for side in (Comparison.AT_LEAST, Comparison.AT_MOST)))


def _side(chosen: dict[tuple[Comparison, str], Limit], comparison: Comparison) -> tuple[Limit, ...]:
    limits = (limit for limit in chosen.values() if limit.comparison is comparison)
    return tuple(sorted(limits, key=lambda limit: Judgement(limit.level.value).severity))
