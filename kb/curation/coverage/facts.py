"""On what evidence the rows stand: kinds of source, basis, weak and stale rows.

Owns: counting rows by provenance. Does not own: what confidence means (DEVELOPERS.md) or thresholds (the asker's).
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from types import MappingProxyType
from typing import Any

from kb.store.snapshot import Snapshot
from schemas.answers.coverage import Share, StaleFact, WeakTable
from schemas.columns.provenance import Basis, Confidence, Sourced
from schemas.tables import ROW_CLASSES
from schemas.tables.sources import Source

MOST_EXAMPLES = 3
_SAY_THE_SAME: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "material_properties": ("material_id", "property"),
        "fluid_properties": ("subject_id", "quantity_id"),
        "tolerances": ("subject_id", "dimension", "from_mm", "to_mm"),
        "rules": ("subject_id", "object_id", "topic"),
    }
)  # tables in which several sources may speak of one thing: what names the thing


def shares_by_source(snapshot: Snapshot) -> tuple[Share, ...]:
    """Return how many rows cite each kind of source, most first.

    Args:
        snapshot: the knowledge.
    """
    kinds = {row.id: row.kind.value for row in snapshot.all_rows(Source.table)}
    return _shares(Counter(kinds[row.source_id] for row in _facts(snapshot)))


def shares_by_basis(snapshot: Snapshot) -> tuple[Share, ...]:
    """Return how many rows have each basis, most first.

    Args:
        snapshot: the knowledge.
    """
    return _shares(Counter(row.basis.value for row in _facts(snapshot)))


def weak_tables(snapshot: Snapshot) -> tuple[WeakTable, ...]:
    """Return, by table, the rows that are unverified estimates or of low confidence and that no other source backs.

    Args:
        snapshot: the knowledge.
    """
    weak: dict[str, list[str]] = defaultdict(list)
    counts: Counter[str] = Counter()
    speakers = _speakers(snapshot)
    for row in _facts(snapshot):
        counts[row.table] += 1
        if _is_weak(row) and len(speakers[_thing(row)]) == 1:
            weak[row.table].append(row.id)
    tables = sorted(weak, key=lambda table: (-len(weak[table]), table))
    return tuple(
        WeakTable(table=table, facts=counts[table], weak=len(weak[table]), examples=tuple(weak[table][:MOST_EXAMPLES]))
        for table in tables
    )


def stale_facts(snapshot: Snapshot, today: date, after_days: int) -> tuple[StaleFact, ...]:
    """Return rows that were last held against their source too long ago, oldest first.

    Args:
        snapshot: the knowledge.
        today: the day from which is counted back.
        after_days: age from which a row is stale [days].
    """
    latest = today - timedelta(days=after_days)
    rows = sorted((row.checked_on, row.table, row.id) for row in _facts(snapshot) if row.checked_on < latest)
    return tuple(StaleFact(table=table, row=row, checked_on=day) for day, table, row in rows)


def _facts(snapshot: Snapshot) -> Iterator[Any]:
    """Yield every active row that carries provenance."""
    for row_class in ROW_CLASSES.values():
        if issubclass(row_class, Sourced):
            yield from snapshot.active(row_class)


def _is_weak(row: Any) -> bool:
    return row.basis is Basis.FROM_MEMORY or row.confidence is Confidence.LOW


def _speakers(snapshot: Snapshot) -> Mapping[tuple[Any, ...], set[str]]:
    speakers: dict[tuple[Any, ...], set[str]] = defaultdict(set)
    for row in _facts(snapshot):
        speakers[_thing(row)].add(row.source_id)
    return speakers


def _thing(row: Any) -> tuple[Any, ...]:
    """Return what a row speaks of, alike for all rows that speak of the same."""
    return (row.table, *(getattr(row, name) for name in _SAY_THE_SAME.get(row.table, ("id",))))


def _shares(counts: Counter[str]) -> tuple[Share, ...]:
    return tuple(Share(ground=ground, facts=facts) for ground, facts in counts.most_common())
