"""From cells as they are stored, in DuckDB or as text, to typed rows.

Owns: text, number, yes/no, list or nothing -> the value its column holds. Does not own: the stores
(`kb/store/duckdb_file.py`, `kb/store/tables_text.py`), or cells as people write them (`schemas/columns/columns.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from enum import Enum
from typing import Any

from schemas.columns.columns import kinds_of
from schemas.tables import ROW_CLASSES


def typed_rows(table: str, names: Sequence[str], records: Sequence[Sequence[Any]]) -> tuple[Any, ...]:
    """Return stored records as rows of their table.

    Args:
        table: name of the table.
        names: names of the columns, in the order of the cells.
        records: cells row by row.

    Raises:
        LookupError: if the columns are not those of the table, or a cell holds a word its column does not allow.
        TypeError: if a cell holds something else than text where text is read.
        ValueError: if a row has too few or too many cells, or one cannot be read as its column's type.
    """
    row_class = ROW_CLASSES[table]
    kinds = kinds_of(row_class)
    if len(names) != len(kinds) or set(names) != kinds.keys():
        raise LookupError(f"{table} has other columns")
    columns = zip(*records, strict=True) if records else ((),) * len(names)
    cells = [_typed_column(kinds[name], column) for name, column in zip(names, columns, strict=True)]
    return _rows(row_class, names, cells, len(records))


def _rows(row_class: type[Any], names: Sequence[str], columns: Sequence[Iterable[Any]], count: int) -> tuple[Any, ...]:
    """Make rows column by column into their slots: a fifth of the time that a call of their class takes for each."""
    rows = tuple(object.__new__(row_class) for _ in range(count))
    for name, cells in zip(names, columns, strict=True):
        fill = getattr(row_class, name).__set__
        for row, cell in zip(rows, cells, strict=True):
            fill(row, cell)
    return rows


def _typed_column(kind: type, cells: Sequence[Any]) -> Iterable[Any]:
    read = _reader(kind)
    return cells if read is None else [None if cell is None else read(cell) for cell in cells]


def _reader(kind: type) -> Callable[[Any], Any] | None:
    if kind is date:
        return date.fromisoformat
    if issubclass(kind, Enum):
        return {member.value: member for member in kind}.__getitem__
    return tuple if kind is tuple else None
