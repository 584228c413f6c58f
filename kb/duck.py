"""The tables in DuckDB: a file with explicit types, opened without any right to reach outside.

Owns: writing typed rows to a DuckDB file and reading them back. Does not own: validation (`kb/table_rows.py`,
`kb/checks/`) or answering (questions are answered from memory, never by a query each).
"""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Iterator, Mapping
from datetime import date
from enum import Enum
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from kb.digest import canonical_cell
from schemas.columns import Field, fields_of
from schemas.tables import ROW_CLASSES

if TYPE_CHECKING:
    import duckdb

_SQL_TYPES = {float: "DOUBLE", int: "BIGINT", bool: "BOOLEAN", date: "VARCHAR", tuple: "VARCHAR[]"}


def write_tables(connection: duckdb.DuckDBPyConnection, rows: Mapping[str, tuple[Any, ...]]) -> None:
    """Create every table with explicit column types and fill it.

    Args:
        connection: an open, writable connection to an empty database.
        rows: table name -> typed rows.
    """
    for name, row_class in ROW_CLASSES.items():
        fields = fields_of(row_class)
        columns = ", ".join(f'"{field.name}" {_sql_type(field)}' for field in fields)
        connection.execute(f'CREATE TABLE "{name}" ({columns})')
        values = [[canonical_cell(getattr(row, field.name)) for field in fields] for row in rows[name]]
        if values:
            connection.executemany(f'INSERT INTO "{name}" VALUES ({", ".join("?" * len(fields))})', values)


def _sql_type(field: Field) -> str:
    null = "" if field.nullable else " NOT NULL"
    return _SQL_TYPES.get(field.kind, "VARCHAR") + null + (" PRIMARY KEY" if field.name == "id" else "")


def read_tables(connection: duckdb.DuckDBPyConnection) -> Mapping[str, tuple[Any, ...]]:
    """Return every table of an open database as typed rows, sorted by id.

    Raises:
        duckdb.Error: if a table or column is missing.
        ValueError: if a cell cannot be read as its column's type.
    """
    return MappingProxyType({name: _read_table(connection, name) for name in ROW_CLASSES})


def _read_table(connection: duckdb.DuckDBPyConnection, name: str) -> tuple[Any, ...]:
    row_class = ROW_CLASSES[name]
    fields = fields_of(row_class)
    columns = ", ".join(f'"{field.name}"' for field in fields)
    records = connection.execute(f'SELECT {columns} FROM "{name}" ORDER BY id').fetchall()
    readers = [(field.name, _reader(field)) for field in fields]
    return tuple(
        row_class(**{key: read(cell) for (key, read), cell in zip(readers, record, strict=True)}) for record in records
    )


def _reader(field: Field) -> Any:
    if field.kind is date:
        return lambda cell: None if cell is None else date.fromisoformat(cell)
    if field.kind is tuple or issubclass(field.kind, Enum):
        return lambda cell: None if cell is None else field.kind(cell)
    return lambda cell: cell


@contextlib.contextmanager
def open_frozen(path: Path) -> Iterator[duckdb.DuckDBPyConnection]:
    """Open a DuckDB file for reading only, with no way to reach files, network or python objects."""
    import duckdb  # noqa: PLC0415 - 74 ms

    config: dict[str, str | bool | int | float | list[str]] = {
        "enable_external_access": False,
        "python_enable_replacements": False,
        "threads": 1,
    }
    connection = duckdb.connect(str(path), read_only=True, config=config)
    try:
        connection.execute("SET lock_configuration = true")
        yield connection
    finally:
        connection.close()


def write_file(path: Path, rows: Mapping[str, tuple[Any, ...]]) -> None:
    """Write the tables to a DuckDB file that appears whole or not at all.

    Args:
        path: where the file shall stand; its folder must exist.
        rows: table name -> typed rows.
    """
    import duckdb  # noqa: PLC0415

    with tempfile.TemporaryDirectory(dir=path.parent, prefix=".writing-") as folder:
        draft = Path(folder) / "tables.duckdb"
        with duckdb.connect(str(draft)) as connection:
            write_tables(connection, rows)
        with draft.open("rb") as file:
            os.fsync(file.fileno())
        draft.replace(path)
