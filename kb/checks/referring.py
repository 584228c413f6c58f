"""Which cells refer to rows of other tables.

Owns: walking all references. Does not own: a check of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from kb.store.typed_rows import Tables
from schemas.columns.columns import Field, fields_of
from schemas.tables import ROW_CLASSES


class Reference(NamedTuple):
    """One id in one cell.

    Attributes:
        row: the row that refers.
        field: the column it refers by.
        target: the id it names.
    """

    row: Any
    field: Field
    target: str


def references(tables: Tables) -> Iterator[Reference]:
    """Yield every reference of every table that was read, the items of lists one by one, in the order of the files."""
    for name, row_class in ROW_CLASSES.items():
        referring = [field for field in fields_of(row_class) if field.column.refers_to]
        for row in tables.rows.get(name, ()):
            for field in referring:
                for target in _targets(getattr(row, field.name)):
                    yield Reference(row, field, target)


def _targets(cell: str | tuple[str, ...] | None) -> tuple[str, ...]:
    if cell is None:
        return ()
    return cell if isinstance(cell, tuple) else (cell,)
