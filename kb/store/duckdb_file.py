"""The tables in DuckDB: a file with explicit types, opened without any right to reach outside.

Owns: writing typed rows to a DuckDB file and reading them back. Does not own: validation (`kb/store/typed_rows.py`,
`kb/checks/`) or answering (questions are answered from memory, never by a query each).
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from kb.store.digest import canonical_cell
from kb.store.stored_rows import typed_rows
from kb.store.temp_folder import TEMPORARY_PREFIX, temporary_folder
from schemas.columns.columns import Field, fields_of
from schemas.tables import ROW_CLASSES

if TYPE_CHECKING:
    import duckdb

SMALLEST_BLOCK_BYTES = "16384"  # DuckDB's least: small tables fill a twelfth of the space that its default takes
_SQL_TYPES = {float: "DOUBLE", int: "BIGINT", bool: "BOOLEAN", date: "VARCHAR", tuple: "VARCHAR[]"}


def write_tables(connection: duckdb.DuckDBPyConnection, rows: Mapping[str, tuple[Any, ...]]) -> None:
    """Create every table with explicit column types and fill it.

    Args:
        connection: an open, writable connection to an empty database.
        rows: table name -> typed rows.
    """
    for name, row_class in ROW_CLASSES.items():
        fields = fields_of(row_class)
        columns = ", ".join(f'"{field.name}" {_sql_type(field)}{_constraint(field)}' for field in fields)
        connection.execute(f'CREATE TABLE "{name}" ({columns})')
        # a whole column per parameter: one statement a table is twenty times quicker than one a row
        cells = ", ".join(f"unnest(?::{_sql_type(field)}[])" for field in fields)
        values = [[canonical_cell(getattr(row, field.name)) for row in rows[name]] for field in fields]
        connection.execute(f'INSERT INTO "{name}" SELECT {cells}', values)


def _sql_type(field: Field) -> str:
    return _SQL_TYPES.get(field.kind, "VARCHAR")


def _constraint(field: Field) -> str:
    null = "" if field.nullable else " NOT NULL"
    return null + (" PRIMARY KEY" if field.name == "id" else "")


def read_tables(
    connection: duckdb.DuckDBPyConnection, known: Mapping[str, tuple[Any, ...]] = MappingProxyType({})
) -> Mapping[str, tuple[Any, ...]]:
    """Return every table of an open database as typed rows, sorted by id.

    Args:
        connection: an open connection.
        known: table name -> rows that are known to stand there; they are not read.

    Raises:
        duckdb.Error: if a table or column is missing.
        LookupError: if a cell holds a word its column does not allow.
        ValueError: if a cell cannot be read as its column's type.
    """
    return MappingProxyType(
        {name: known[name] if name in known else _read_table(connection, name) for name in ROW_CLASSES}
    )


def _read_table(connection: duckdb.DuckDBPyConnection, name: str) -> tuple[Any, ...]:
    names = [field.name for field in fields_of(ROW_CLASSES[name])]
    columns = ", ".join(f'"{column}"' for column in names)
    rows = typed_rows(name, names, connection.execute(f'SELECT {columns} FROM "{name}"').fetchall())
    return tuple(sorted(rows, key=lambda row: row.id))


@contextlib.contextmanager
def open_read_only(path: Path) -> Iterator[duckdb.DuckDBPyConnection]:
    """Open a DuckDB file for reading only, with no way to reach files, network or python objects."""
    import duckdb  # noqa: PLC0415 - 74 ms

    config: dict[str, str | bool | int | float | list[str]] = {
        "enable_external_access": False,
        "python_enable_replacements": False,
        "threads": 1,
        "async_threads": 0,  # small local files: eight threads that come and go with every file would be eight too many
        "lock_configuration": True,
    }
    connection = duckdb.connect(str(path), read_only=True, config=config)
    try:
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

    config: dict[str, str | bool | int | float | list[str]] = {
        "default_block_size": SMALLEST_BLOCK_BYTES,
        "threads": 1,
    }
    with temporary_folder(path.parent, TEMPORARY_PREFIX) as folder:
        draft = folder / "tables.duckdb"
        with duckdb.connect(str(draft), config=config) as connection:
            connection.begin()  # one transaction costs less than one a statement
            write_tables(connection, rows)
            connection.commit()
        with draft.open("rb") as file:
            os.fsync(file.fileno())
        draft.replace(path)
