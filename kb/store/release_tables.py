"""The tables as CSV, Parquet and DuckDB files.

Owns: typed rows -> files in three forms. Does not own: describing them (`kb/curation/release/data_package.py`).
Every column is filled as the program sees it: millimetres stand beside the inches a source prints. CSV and Parquet
files are the same bytes for the same tables and the same version of DuckDB; the DuckDB file is not.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import astuple
from datetime import date
from decimal import Decimal
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kb.store.duckdb_file import SMALLEST_BLOCK_BYTES, write_tables
from kb.store.release_marker import Marker
from schemas.columns.columns import Field, fields_of
from schemas.tables import ROW_CLASSES

if TYPE_CHECKING:
    import duckdb

MARKER_TABLE = "release"
MARKER_COLUMNS = ("release_of", "version", "digest", "columns")
_ROW_GROUP = 122_880  # more rows than any table has: one group each, the same on every machine


def csv_of(table: str, rows: tuple[Any, ...]) -> bytes:
    """Return a table as CSV: UTF-8, comma, LF, header first, sorted by id, plain decimal numbers, yes and no.

    Args:
        table: name of the table.
        rows: its rows.
    """
    fields = fields_of(ROW_CLASSES[table])
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow([field.name for field in fields])
    for row in sorted(rows, key=lambda row: row.id):
        writer.writerow([cell_text(getattr(row, field.name)) for field in fields])
    return text.getvalue().encode()


def cell_text(value: Any) -> str:
    """Return a value as the text of a cell.

    >>> cell_text(1e-07), cell_text(10.0), cell_text(True), cell_text(("a", "b")), cell_text(None)
    ('0.0000001', '10', 'yes', 'a b', '')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        text = format(Decimal(repr(value)), "f")
        return text.rstrip("0").rstrip(".") if "." in text else text
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, date):
        return value.isoformat()
    return " ".join(value) if isinstance(value, tuple) else str(value)


def write_parquet(folder: Path, rows: Mapping[str, tuple[Any, ...]], marker: Marker) -> None:
    """Write a Parquet file for every table.

    Args:
        folder: where the files shall stand; it must exist.
        rows: table name -> typed rows.
        marker: written into every file as metadata.
    """
    import duckdb  # noqa: PLC0415 - 74 ms

    with duckdb.connect(":memory:", config={"threads": 1}) as connection:
        write_tables(connection, rows)
        for name, row_class in ROW_CLASSES.items():
            columns = ", ".join(_parquet_column(field) for field in fields_of(row_class))
            connection.execute(
                f'COPY (SELECT {columns} FROM "{name}" ORDER BY id) TO {_quoted(str(folder / name) + ".parquet")} '
                f"(FORMAT parquet, COMPRESSION zstd, ROW_GROUP_SIZE {_ROW_GROUP}, KV_METADATA {{"
                f"version: {_quoted(marker.version)}, digest: {_quoted(marker.digest)}, licence: 'CC-BY-4.0'}})"
            )


def _parquet_column(field: Field) -> str:
    return f'CAST("{field.name}" AS DATE) AS "{field.name}"' if field.kind is date else f'"{field.name}"'


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def write_database(path: Path, rows: Mapping[str, tuple[Any, ...]], marker: Marker) -> None:
    """Write all tables and the marker into one DuckDB file.

    Args:
        path: where the file shall stand; its folder must exist.
        rows: table name -> typed rows.
        marker: what the release says of itself.
    """
    import duckdb  # noqa: PLC0415

    with duckdb.connect(str(path), config={"default_block_size": SMALLEST_BLOCK_BYTES}) as connection:
        write_tables(connection, rows)
        columns = ", ".join(f'"{name}" VARCHAR NOT NULL' for name in MARKER_COLUMNS)
        connection.execute(f"CREATE TABLE {MARKER_TABLE} ({columns})")
        connection.execute(f"INSERT INTO {MARKER_TABLE} VALUES (?, ?, ?, ?)", list(astuple(marker)))


def read_marker(connection: duckdb.DuckDBPyConnection) -> Marker:
    """Return the marker in an open DuckDB file.

    Raises:
        duckdb.Error: if the file has none.
        LookupError: if its place is empty.
    """
    columns = ", ".join(f'"{name}"' for name in MARKER_COLUMNS)
    found = connection.execute(f"SELECT {columns} FROM {MARKER_TABLE}").fetchone()
    if found is None:
        raise LookupError("the file has no marker")
    return Marker(*found)
