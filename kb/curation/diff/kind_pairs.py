"""Which archetypes are asked about in pairs.

Owns: kinds of parts whose pairing means something. Does not own: judging a pair (`kb/compatibility/pair.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, combinations_with_replacement, product
from typing import NamedTuple

from kb.store.snapshot import PART_TABLES, Snapshot

_MECHANICAL = ("thread", "port", "tube", "fitting", "seal")
_TOUCHED_BY_COOLANT = ("tube", "fitting", "seal", "material")
_SUBSTANCES = ("material", "fluid", "additive")


class KindPair(NamedTuple):
    """Two kinds of parts that are asked about together, in the order in which they are reported."""

    a: str
    b: str


KIND_PAIRS: tuple[KindPair, ...] = (
    *(KindPair(*pair) for pair in combinations_with_replacement(_MECHANICAL, 2)),
    *(KindPair(kind, liquid) for kind in _TOUCHED_BY_COOLANT for liquid in ("fluid", "additive")),
    *(KindPair(kind, kind) for kind in _SUBSTANCES),
    KindPair("fluid", "additive"),
)

_KIND_OF_TABLE = {table: table.removesuffix("s") for table in PART_TABLES}


def active_parts(snapshot: Snapshot) -> dict[str, str]:
    """Return the kind of every archetype that is not withdrawn, by its id."""
    return {
        row.id: _KIND_OF_TABLE[table]
        for table in PART_TABLES
        for row in snapshot.all_rows(table)
        if row.withdrawn_on is None
    }


def all_pairs(kinds: dict[str, str]) -> Iterator[tuple[str, str]]:
    """Yield every pair of archetypes that means something, each once; two parts of one archetype are a pair, too.

    Args:
        kinds: id of an archetype -> its kind.
    """
    by_kind: dict[str, list[str]] = {}
    for part, kind in kinds.items():
        by_kind.setdefault(kind, []).append(part)
    for a, b in KIND_PAIRS:
        if a == b:
            alike = by_kind.get(a, [])
            yield from combinations(alike, 2) if a in _SUBSTANCES else combinations_with_replacement(alike, 2)
        else:
            yield from product(by_kind.get(a, []), by_kind.get(b, []))
