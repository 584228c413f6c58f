"""From the folder of tables to frozen rows with a digest: all of them, or none and every fault.

Owns: the way tables -> validation -> DuckDB -> frozen rows, and the cache that makes the second start quick.
Does not own: single steps (`kb/csv_text.py`, `kb/table_rows.py`, `kb/checks/`, `kb/duck.py`, `kb/digest.py`).
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kb.checks import cross_table_faults
from kb.digest import tables_digest
from kb.duck import open_frozen, read_tables, write_file
from kb.faults import Fault, TablesRefusedError
from kb.table_rows import read_tables as read_texts

TABLES_FOLDER = Path(__file__).parent / "tables"
VERSION_FILE = "VERSION"
_CODE_FOLDERS = (Path(__file__).parent, Path(__file__).parent / "checks", Path(__file__).parent.parent / "schemas")


@dataclass(frozen=True, slots=True)
class FrozenTables:
    """Validated tables as read back from DuckDB.

    Attributes:
        rows: table name -> rows sorted by id.
        version: calendar version chosen by the curators, such as `2026.11.0`.
        digest: SHA-256 over the canonical tables, 64 hexadecimal digits.
    """

    rows: Mapping[str, tuple[Any, ...]]
    version: str
    digest: str

    @property
    def full_version(self) -> str:
        """Calendar version and the first twelve digits of the digest, as every answer carries it."""
        return f"{self.version}+{self.digest[:12]}"


def load_tables(folder: Path = TABLES_FOLDER, cache: Path | None = None) -> FrozenTables:
    """Validate and freeze the tables of a folder; unchanged tables come back from the cache without validation.

    Args:
        folder: folder with one CSV file per table and a file VERSION.
        cache: folder for the frozen DuckDB file; by default the user's cache folder.

    Raises:
        TablesRefusedError: with every fault found, if anything at all is wrong.
    """
    files, version = _read_folder(folder)
    cache = cache if cache is not None else default_cache()
    key = _key(files)
    frozen = _from_cache(cache, key, version)
    return frozen if frozen is not None else _validate_and_freeze(files, version, cache, key)


def check_folder(folder: Path = TABLES_FOLDER) -> list[Fault]:
    """Return every fault of the tables in a folder: form and cells first; across tables only if those are clean."""
    files, _ = _read_folder(folder)
    tables, faults = read_texts(files)
    return faults or cross_table_faults(tables)


def default_cache() -> Path:
    """Return the folder for frozen tables: $WETTED_CACHE_DIR, else a folder in the user's cache."""
    chosen = os.environ.get("WETTED_CACHE_DIR")
    if chosen:
        return Path(chosen)
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "wetted"


def _read_folder(folder: Path) -> tuple[dict[str, bytes], str]:
    if not folder.is_dir():
        raise TablesRefusedError([Fault(str(folder), 0, "", "TAB-003", "", "no such folder", "name the tables folder")])
    version_file = folder / VERSION_FILE
    if not version_file.is_file():
        fault = Fault(VERSION_FILE, 0, "", "TAB-004", "", "the file is missing", "write a version such as 2026.11.0")
        raise TablesRefusedError([fault])
    return {path.name: path.read_bytes() for path in sorted(folder.glob("*.csv"))}, version_file.read_text().strip()


def _key(files: Mapping[str, bytes]) -> str:
    """Hash the files and the code that judges them: a change of either means validating again."""
    hasher = hashlib.sha256()
    sources = [path for folder in _CODE_FOLDERS for path in sorted(folder.glob("**/*.py"))]
    for name, content in [*((str(path), path.read_bytes()) for path in sources), *sorted(files.items())]:
        hasher.update(f"{name}\0{len(content)}\0".encode())
        hasher.update(content)
    return hasher.hexdigest()


def _from_cache(cache: Path, key: str, version: str) -> FrozenTables | None:
    import duckdb  # noqa: PLC0415 - 74 ms

    for path in cache.glob(f"{key}-*.duckdb"):
        try:
            with open_frozen(path) as connection:
                rows = read_tables(connection)
        except (duckdb.Error, ValueError, TypeError, OSError):
            continue  # a damaged cache file is no harm: the tables are validated again
        digest = tables_digest(rows)
        if path.stem == f"{key}-{digest}":
            return FrozenTables(rows, version, digest)
    return None


def _validate_and_freeze(files: Mapping[str, bytes], version: str, cache: Path, key: str) -> FrozenTables:
    tables, faults = read_texts(files)
    faults = faults or cross_table_faults(tables)
    if faults:
        raise TablesRefusedError(faults)
    digest = tables_digest(tables.rows)
    frozen = _through_duckdb(tables.rows, cache, f"{key}-{digest}.duckdb")
    if tables_digest(frozen) != digest:
        raise RuntimeError("the tables changed on their way through DuckDB")
    return FrozenTables(frozen, version, digest)


def _through_duckdb(rows: Mapping[str, tuple[Any, ...]], cache: Path, name: str) -> Mapping[str, tuple[Any, ...]]:
    """Write the cached file and read it back; where no file can be written, use a database in memory."""
    import duckdb  # noqa: PLC0415

    from kb.duck import write_tables  # noqa: PLC0415

    try:
        cache.mkdir(parents=True, exist_ok=True)
        write_file(cache / name, rows)
        with open_frozen(cache / name) as connection:
            return read_tables(connection)
    except (OSError, duckdb.IOException):
        with duckdb.connect(":memory:") as connection:
            write_tables(connection, rows)
            return read_tables(connection)
