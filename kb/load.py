"""From the folder of tables to immutable rows with a digest: all of them, or none and every fault.

Owns: the way tables -> validation -> DuckDB -> immutable rows, and the cache that makes the second start quick.
Does not own: single steps (`kb/store/csv_text.py`, `kb/store/typed_rows.py`, `kb/checks/`, `kb/store/duckdb_file.py`,
`kb/store/tables_text.py`, `kb/store/digest.py`).
A start with a filled cache reads one text file and no more, so what judges and what opens DuckDB is imported late.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Mapping
from contextlib import suppress
from functools import cache as once
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from kb.store.faults import Fault, TablesRefusedError
from kb.store.frozen import BuiltTables, ReadTable, content_key
from kb.store.tables_text import TEXT_FILE, read_text, write_text

if TYPE_CHECKING:
    from kb.store.typed_rows import Tables

TABLES_FOLDER = Path(__file__).parent / "tables"
VERSION_FILE = "VERSION"
VERSION_FORM = re.compile(r"\d{4}\.\d{1,2}\.\d{1,4}", re.ASCII)
KEPT_CACHE_FILES = 8  # of each form, for some checkouts and branches side by side; one file takes less than 2 MB
STORE_FILE = ".duckdb"
_PROJECT = Path(__file__).parent.parent
_CODE_FOLDERS = (_PROJECT / "kb", _PROJECT / "schemas")


def load_tables(
    folder: Path = TABLES_FOLDER, cache: Path | None = None, before: BuiltTables | None = None
) -> BuiltTables:
    """Validate the tables of a folder and build their snapshot; unchanged tables come back from the cache without
    validation.

    Args:
        folder: folder with one CSV file per table and a file VERSION.
        cache: folder for the snapshot DuckDB file; by default the user's cache folder.
        before: tables that are loaded already; those whose files are the same are shared.

    Raises:
        TablesRefusedError: with every fault found, if anything at all is wrong.
    """
    files = read_folder(folder)
    version, faults = _read_version(folder / VERSION_FILE)
    cache = cache if cache is not None else default_cache()
    key = _key(files)
    built = None if faults else _from_cache(cache, key, version, files, before)
    if built is not None:
        return built
    tables, found = judge(files)
    if faults or found:
        raise TablesRefusedError([*faults, *found])
    return _build(tables, version, cache, key, files)


def built_tables(folder: Path, cache: Path, before: BuiltTables | None = None) -> BuiltTables | None:
    """Return the tables of a folder if they were judged and built before, `None` if that is still to be done.

    Args:
        folder: folder with one CSV file per table and a file VERSION.
        cache: folder for the snapshot DuckDB file.
        before: tables that are loaded already; those whose files are the same are shared.

    Raises:
        TablesRefusedError: if the folder or a file in it cannot be read at all.
    """
    files = read_folder(folder)
    version, faults = _read_version(folder / VERSION_FILE)
    return None if faults else _from_cache(cache, _key(files), version, files, before)


def check_folder(folder: Path = TABLES_FOLDER) -> list[Fault]:
    """Return every fault of the tables in a folder, in order of file and line.

    Raises:
        TablesRefusedError: if the folder or a file in it cannot be read at all.
    """
    _, faults = _read_version(folder / VERSION_FILE)
    return sorted([*faults, *judge(read_folder(folder))[1]])


def default_cache() -> Path:
    """Return the folder for built tables: $WETTED_CACHE_DIR, else a folder in the user's cache."""
    chosen = os.environ.get("WETTED_CACHE_DIR")
    if chosen:
        return Path(chosen)
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "wetted"


def read_folder(folder: Path) -> dict[str, bytes]:
    """Return the bytes of every table in a folder, by file name.

    Raises:
        TablesRefusedError: if the folder or a file in it cannot be read.
    """
    if not folder.is_dir():
        raise TablesRefusedError([Fault(str(folder), 0, "", "TAB-003", "", "no such folder", "name the tables folder")])
    paths = sorted(path for path in folder.iterdir() if path.suffix.lower() == ".csv" and path.is_file())
    return {_readable_name(path): _read_file(path) for path in paths}


def _readable_name(path: Path) -> str:
    """Return the name of a file in characters that can be shown, whatever the file system gave."""
    return "".join(character if character.isprintable() else ascii(character)[1:-1] for character in path.name)


def _read_file(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        what = f"the file cannot be read ({error.strerror})"
        fault = Fault(path.name, 0, "", "TAB-006", "", what, "fix its permissions or its disk")
        raise TablesRefusedError([fault]) from error


def _read_version(path: Path) -> tuple[str, list[Fault]]:
    fix = "write a version such as 2026.11.0"
    if not path.is_file():
        return "", [Fault(path.name, 0, "", "TAB-004", "", "the file is missing", fix)]
    text = _read_file(path).decode("utf-8", errors="replace").removesuffix("\n")
    if not VERSION_FORM.fullmatch(text):
        return "", [Fault(path.name, 1, "", "TAB-005", "", f"{text[:40]!r} is not a version", fix)]
    return text, []


def judge(files: Mapping[str, bytes]) -> tuple[Tables, list[Fault]]:
    """Return the tables that files hold, and every fault: of form and cells, and across the tables without such.

    Args:
        files: file name such as `tubes.csv` -> content.
    """
    from kb.checks import cross_table_faults  # noqa: PLC0415 - a start with a filled cache judges nothing
    from kb.store.typed_rows import read_tables  # noqa: PLC0415

    tables, faults = read_tables(files)
    sound = tables.without({fault.file for fault in faults})
    return tables, [*faults, *cross_table_faults(sound)]


def _key(files: Mapping[str, bytes]) -> str:
    """Hash the files and the code that judges them: a change of either means validating again."""
    return content_key([("code", _code_key().encode()), *sorted(files.items())])


@once
def _code_key() -> str:
    """Hash the code as it is when it is first asked for: a running program does not change."""
    return content_key(judging_code())


def judging_code() -> list[tuple[str, bytes]]:
    """Return every source file that has a say in validation and verdicts, by its path in the project."""
    walked = (step for top in _CODE_FOLDERS for step in os.walk(top))
    sources = sorted(f"{folder}/{file}" for folder, _, files in walked for file in files if file.endswith(".py"))
    start = len(f"{_PROJECT}/")
    return [(path[start:], _content(path)) for path in sources]


def _content(path: str) -> bytes:
    with open(path, "rb", buffering=0) as file:  # noqa: PTH123 - half the time of a `Path`, for hundreds of files
        return file.read()


def _unchanged(files: Mapping[str, bytes], before: BuiltTables | None) -> Mapping[str, tuple[Any, ...]]:
    """Return the rows of tables that are loaded already from files with the same content, by table."""
    if before is None:
        return {}
    return {
        name: before.rows[name]
        for name, read in before.read_from.items()
        if f"{name}.csv" in files and _file_digest(files, name) == read.file_digest
    }


def _file_digest(files: Mapping[str, bytes], table: str) -> str:
    return hashlib.sha256(files[f"{table}.csv"]).hexdigest()


def _built(
    rows: Mapping[str, tuple[Any, ...]],
    texts: Mapping[str, bytes],
    digest: str,
    version: str,
    files: Mapping[str, bytes],
) -> BuiltTables:
    read_from = {name: ReadTable(_file_digest(files, name), texts[name]) for name in rows}
    return BuiltTables(rows, version, digest, MappingProxyType(read_from))


def _from_cache(
    cache: Path, key: str, version: str, files: Mapping[str, bytes], before: BuiltTables | None
) -> BuiltTables | None:
    """Return built tables from their text file or, where that is missing or damaged, from the store it is made from."""
    for path in cache.glob(f"{key}-*{TEXT_FILE}"):
        digest = path.stem.removeprefix(f"{key}-")
        try:
            read = read_text(path.read_bytes(), digest, _unchanged(files, before))
        except (LookupError, ValueError, TypeError, OSError, RecursionError):
            continue  # a damaged cache file is no harm: the store is read again
        return _built(read.rows, read.texts, digest, version, files)
    return _from_store(cache, key, version, files, before)


def _from_store(
    cache: Path, key: str, version: str, files: Mapping[str, bytes], before: BuiltTables | None
) -> BuiltTables | None:
    import duckdb  # noqa: PLC0415 - 74 ms

    from kb.store.digest import digest_of  # noqa: PLC0415
    from kb.store.duckdb_file import open_read_only, read_tables  # noqa: PLC0415

    for path in cache.glob(f"{key}-*{STORE_FILE}"):
        try:
            with open_read_only(path) as connection:
                rows = read_tables(connection, _unchanged(files, before))
        except (duckdb.Error, LookupError, ValueError, TypeError, OSError):
            continue  # a damaged cache file is no harm: the tables are validated again
        texts = _texts(rows, before)
        digest = digest_of(texts)
        if path.stem == f"{key}-{digest}":
            _cache_text(path.with_suffix(TEXT_FILE), texts)
            return _built(rows, texts, digest, version, files)
    return None


def _texts(rows: Mapping[str, tuple[Any, ...]], before: BuiltTables | None = None) -> dict[str, bytes]:
    """Return the canonical text of every table; that of tables shared with earlier ones is not worked out again."""
    from kb.store.digest import table_text  # noqa: PLC0415

    shared = {name for name in before.read_from if rows[name] is before.rows[name]} if before else set()
    return {
        name: before.read_from[name].text if before and name in shared else table_text(name, table)
        for name, table in rows.items()
    }


def _build(tables: Tables, version: str, cache: Path, key: str, files: Mapping[str, bytes]) -> BuiltTables:
    from kb.store.digest import digest_of, tables_digest  # noqa: PLC0415

    digest = tables_digest(tables.rows)
    rows = _through_duckdb(tables.rows, cache, f"{key}-{digest}{STORE_FILE}")
    texts = _texts(rows)
    if digest_of(texts) != digest:
        raise RuntimeError("the tables changed on their way through DuckDB")
    _cache_text(cache / f"{key}-{digest}{TEXT_FILE}", texts)
    return _built(rows, texts, digest, version, files)


def _through_duckdb(rows: Mapping[str, tuple[Any, ...]], cache: Path, name: str) -> Mapping[str, tuple[Any, ...]]:
    """Write the cached file and read it back; where no file can be written, use a database in memory."""
    import duckdb  # noqa: PLC0415

    from kb.store.duckdb_file import open_read_only, read_tables, write_file, write_tables  # noqa: PLC0415

    try:
        cache.mkdir(parents=True, exist_ok=True)
        write_file(cache / name, rows)
        with open_read_only(cache / name) as connection:
            return read_tables(connection)
    except (OSError, duckdb.Error):
        with duckdb.connect(":memory:") as connection:
            write_tables(connection, rows)
            return read_tables(connection)


def _cache_text(path: Path, texts: Mapping[str, bytes]) -> None:
    """Keep the text of tables for the next start, if the cache can be written at all."""
    with suppress(OSError):
        write_text(path, texts)
        _prune(path.parent)


def _prune(cache: Path) -> None:
    """Delete all but the newest files of each form, so that the cache does not grow."""
    for form in (STORE_FILE, TEXT_FILE):
        files = sorted(cache.glob(f"*{form}"), key=lambda path: path.stat().st_mtime, reverse=True)
        for path in files[KEPT_CACHE_FILES:]:
            path.unlink(missing_ok=True)
