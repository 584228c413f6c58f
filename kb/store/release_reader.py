"""Reading a release: all of its tables, or none and one error.

Owns: release folder or DuckDB file -> immutable rows, held against the digest. Does not own: building one, or tables as
CSV (`kb/load.py`). The rows were validated when the release was built; their digest says that they are still those.
It guards against damage, not against somebody who forges digest and rows together.
"""

from __future__ import annotations

from pathlib import Path

from kb.store.digest import tables_digest
from kb.store.duckdb_file import open_read_only, read_tables
from kb.store.faults import Fault, TablesRefusedError
from kb.store.frozen import BuiltTables
from kb.store.release_marker import DATABASE_FILE, MARKER_FILE, Marker, columns_digest, marker_from_json
from kb.store.release_tables import read_marker

UNREADABLE, DAMAGED, OTHER_COLUMNS = "REL-001", "REL-002", "REL-003"
_FETCH = "fetch or build the release again"


def read_release(path: Path) -> BuiltTables:
    """Return the tables of a release.

    Args:
        path: folder of the release, or its DuckDB file.

    Raises:
        TablesRefusedError: with one fault, if it cannot be read, was made for other columns, or holds other tables than
            it says.
    """
    is_file = path.suffix == ".duckdb"
    stated = None if is_file else _stated(path / MARKER_FILE)
    return _read_database(path if is_file else path / DATABASE_FILE, stated)


def _stated(path: Path) -> Marker:
    try:
        return marker_from_json(path.read_bytes())
    except OSError as error:
        raise _refusal(path, UNREADABLE, f"the file cannot be read ({error.strerror})") from None
    except ValueError as error:
        raise _refusal(path, UNREADABLE, f"the file cannot be read ({error})") from None


def _read_database(path: Path, stated: Marker | None) -> BuiltTables:
    import duckdb  # noqa: PLC0415 - 74 ms

    if not path.is_file():
        raise _refusal(path, UNREADABLE, "there is no such file")
    try:
        with open_read_only(path) as connection:
            marker = stated or read_marker(connection)
            _require_columns(path, marker)
            rows = read_tables(connection)
    except (duckdb.Error, LookupError, ValueError, TypeError, OSError) as error:
        raise _refusal(path, UNREADABLE, f"the file cannot be read ({_first_line(error)})") from None
    digest = tables_digest(rows)
    if digest != marker.digest:
        what = f"its tables have the digest {digest}, where the release says {marker.digest}"
        raise _refusal(path, DAMAGED, what)
    return BuiltTables(rows, marker.version, digest)


def _require_columns(path: Path, marker: Marker) -> None:
    if marker.columns != columns_digest():
        what = f"the release {marker.version} has other tables or columns than this program"
        fix = "load a release made for this version of the program, or the version of the program it was made with"
        raise _refusal(path, OTHER_COLUMNS, what, fix)


def _first_line(error: Exception) -> str:
    return str(error).partition("\n")[0][:200]


def _refusal(path: Path, code: str, what: str, fix: str = _FETCH) -> TablesRefusedError:
    return TablesRefusedError([Fault(str(path), 0, "", code, "", what, fix)])
