"""Rows that differ in meaning between two states of the tables: typed values are compared, not texts.

Owns: what was added, removed, withdrawn, restored or changed. Does not own: what follows for verdicts.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from kb.store.digest import canonical_cell
from kb.store.frozen import BuiltTables
from schemas.answers.answers import Cell
from schemas.answers.changes import CellChange, RowChange, RowFate
from schemas.columns.columns import fields_of
from schemas.tables import ROW_CLASSES


class ChangedRow(NamedTuple):
    """A row as it was and as it is; `None` where there is no such row."""

    before: Any | None
    after: Any | None

    @property
    def one(self) -> Any:
        """The row as it is, or as it was if it is gone."""
        return self.after if self.after is not None else self.before


def changed_rows(before: BuiltTables, after: BuiltTables) -> list[ChangedRow]:
    """Return every row whose typed values differ, table by table, sorted by id.

    Args:
        before: one state of the tables.
        after: the other one.
    """
    changes: list[ChangedRow] = []
    for table in ROW_CLASSES:
        old, new = ({row.id: row for row in tables.rows[table]} for tables in (before, after))
        ids = sorted(set(old) | set(new))
        changes += [ChangedRow(old.get(one), new.get(one)) for one in ids if old.get(one) != new.get(one)]
    return changes


def changed_columns(change: ChangedRow) -> frozenset[str]:
    """Return the columns in which a row differs; all of them if it is new or gone."""
    names = [field.name for field in fields_of(type(change.one))]
    if change.before is None or change.after is None:
        return frozenset(names)
    return frozenset(name for name in names if getattr(change.before, name) != getattr(change.after, name))


def report_row(change: ChangedRow) -> RowChange:
    """Return a changed row in the shape of answers."""
    row = change.one
    is_both = change.before is not None and change.after is not None
    return RowChange(
        table=row.table,
        row=row.id,
        title=getattr(row, "title", None) or getattr(row, "designation", None) or row.id,
        fate=_fate(change),
        cells=tuple(_cells(change)) if is_both else (),
    )


def _fate(change: ChangedRow) -> RowFate:
    if change.before is None:
        return RowFate.ADDED
    if change.after is None:
        return RowFate.REMOVED
    was_active, is_active = (getattr(row, "withdrawn_on", None) is None for row in (change.before, change.after))
    if was_active != is_active:
        return RowFate.RESTORED if is_active else RowFate.WITHDRAWN
    return RowFate.CHANGED


def _cells(change: ChangedRow) -> Iterator[CellChange]:
    differing = changed_columns(change)
    for field in fields_of(type(change.one)):
        if field.name in differing:
            before, after = (_cell(getattr(row, field.name)) for row in change)
            yield CellChange(column=field.name, before=before, after=after)


def _cell(value: Any) -> Cell:
    cell = canonical_cell(value)
    return tuple(cell) if isinstance(cell, list) else cell
