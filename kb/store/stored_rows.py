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


def typed_rows(table: str, names: Sequence[str], records: Iterable[Sequence[Any]]) -> tuple[Any, ...]:
    """Return stored records as rows of their table.

    Args:
        table: name of the table.
        names: names of the columns, in the order of the cells.
        records: cells row by row.

    Raises:
        LookupError: if a column does not exist, or a cell holds a word its column does not allow.
        TypeError: if a column is missing, or a cell holds something else than text where text is read.
        ValueError: if a cell cannot be read as its column's type.
    """
    row_class = ROW_CLASSES[table]
    kinds = kinds_of(row_class)
    columns = zip(*records, strict=True)
    cells = [_typed_column(kinds[name], column) for name, column in zip(names, columns, strict=False)]
    return tuple(row_class(**dict(zip(names, row, strict=True))) for row in zip(*cells, strict=True))


def _typed_column(kind: type, cells: Sequence[Any]) -> Iterable[Any]:
    read = _reader(kind)
    return cells if read is None else [None if cell is None else read(cell) for cell in cells]


def _reader(kind: type) -> Callable[[Any], Any] | None:
    if kind is date:
        return date.fromisoformat
    if issubclass(kind, Enum):
        return {member.value: member for member in kind}.__getitem__
    return tuple if kind is tuple else None
