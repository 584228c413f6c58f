"""DuckDB as a bulk run uses it: in memory, without any way to files but those of the run.

Owns: opening it, and how names and paths are written in a query. Does not own: the queries of a run
(`kb/bulk/slices.py`, `kb/bulk/answering.py`).
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import duckdb

MOST_MEMORY = "2GB"  # beyond it DuckDB writes to the work folder
PART_TYPE = "part_id"


@contextlib.contextmanager
def open_session(source: Path, work: Path, part_ids: Sequence[str]) -> Iterator[duckdb.DuckDBPyConnection]:
    """Open a database in memory that may read one file and use one folder, and no more.

    Args:
        source: the file it may read.
        work: the folder it may use.
        part_ids: become the values of the type `PART_TYPE`, in this order.
    """
    import duckdb  # noqa: PLC0415 - 74 ms

    connection = duckdb.connect(":memory:", config={"threads": os.cpu_count() or 1})
    try:
        connection.execute(f"SET temp_directory = {text(str(work / 'spill'))}")
        connection.execute(f"SET memory_limit = {text(MOST_MEMORY)}")
        connection.execute(f"SET allowed_paths = [{text(str(source))}]")
        connection.execute(f"SET allowed_directories = [{text(str(work))}]")
        connection.execute("SET enable_external_access = false")
        connection.execute("SET python_enable_replacements = false")
        connection.execute("SET lock_configuration = true")
        connection.execute(f"CREATE TYPE {PART_TYPE} AS ENUM ({', '.join(map(text, part_ids))})")
        yield connection
    finally:
        connection.close()


def text(value: str) -> str:
    """Return a text as it is written in a query.

    >>> text("it's")
    "'it''s'"
    """
    return "'" + value.replace("'", "''") + "'"


def name(column: str) -> str:
    """Return a column's name as it is written in a query.

    >>> name('coolant-temperature')
    '"coolant-temperature"'
    """
    return '"' + column.replace('"', '""') + '"'
