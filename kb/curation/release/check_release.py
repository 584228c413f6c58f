"""Checking a release: are its files those that were built, and do its tables keep every promise?

Owns: holding files against the list of checksums, and rows against all checks. Does not own: reading a release
(`kb/store/release_reader.py`), the checks (`kb/checks/`), or checking a folder of tables (`kb/load.py`).
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from kb.curation.release.build import CHECKSUMS_FILE
from kb.load import check_folder, judge
from kb.store.faults import Fault, QuestionError, TablesRefusedError
from kb.store.release_marker import DATABASE_FILE, is_release
from kb.store.release_reader import UNREADABLE, read_release
from kb.store.release_tables import csv_of
from schemas.columns.columns import inch_fields

BROKEN_LIST, MISSING, CHANGED, UNLISTED = "REL-004", "REL-005", "REL-006", "REL-007"
_FETCH = "fetch or build the release again"
_LISTED = re.compile(r"([0-9a-f]{64})  (\S.*)", re.ASCII)


def check_path(path: Path) -> list[Fault]:
    """Return every fault of a release or of a folder of tables, whichever stands there, in order of file and line.

    Args:
        path: folder of tables, folder of a release, or the DuckDB file of one.

    Raises:
        QuestionError: if it is a folder inside a release.
        TablesRefusedError: if it is a folder of tables, and the folder or a file in it cannot be read at all.
    """
    if _looks_like_a_release(path):
        return check_release(path)
    around = path.resolve().parent
    if path.is_dir() and _looks_like_a_release(around):
        raise QuestionError("folder", f"{path} is a part of a release", f"check the release as a whole: {around}")
    return check_folder(path)


def check_release(path: Path) -> list[Fault]:
    """Return every fault of a release, in order of file and line: of its files, then of its rows.

    Args:
        path: folder of the release, or its DuckDB file; that one alone has no checksums, but a digest of its rows.
    """
    faults = [] if path.suffix == ".duckdb" else list(_faults_of_files(path))
    try:
        rows = read_release(path).rows
    except TablesRefusedError as refused:
        return sorted(faults + [replace(fault, file=Path(fault.file).name) for fault in refused.faults])
    _, found = judge({f"{name}.csv": _as_printed(name, rows[name]) for name in rows})
    return sorted(faults + [_placed(path, fault) for fault in found])


def _looks_like_a_release(path: Path) -> bool:
    return is_release(path) or (path / CHECKSUMS_FILE).is_file()


def _as_printed(table: str, rows: tuple[Any, ...]) -> bytes:
    """Return a table as curators write it: without the millimetres that follow from inches."""
    fields = inch_fields(type(rows[0])) if rows else ()
    return csv_of(
        table, tuple(_without_computed(row, {one.name: one.column.inch_column for one in fields}) for row in rows)
    )


def _without_computed(row: Any, inch_columns: Mapping[str, str]) -> Any:
    return replace(row, **{name: None for name, inches in inch_columns.items() if getattr(row, inches) is not None})


def _placed(path: Path, fault: Fault) -> Fault:
    """Return a fault of a row where the release shows the row; its CSV files have the lines of the tables."""
    return replace(fault, file=path.name, line=0) if path.is_file() else replace(fault, file=f"csv/{fault.file}")


def _faults_of_files(folder: Path) -> Iterator[Fault]:
    try:
        listed = _checksums(folder / CHECKSUMS_FILE)
    except (OSError, ValueError) as error:
        yield _fault(CHECKSUMS_FILE, BROKEN_LIST, f"the list of checksums cannot be read ({_reason(error)})")
        return
    there = {path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()}
    for name in sorted(listed.keys() - there.keys()):
        yield _fault(name, MISSING, "the file is listed and missing")
    for name in sorted(there.keys() - listed.keys() - {CHECKSUMS_FILE, DATABASE_FILE}):
        yield _fault(name, UNLISTED, "no release has this file", "move it away")
    for name in sorted(there.keys() & listed.keys()):
        yield from _faults_of_content(name, there[name], listed[name])


def _checksums(path: Path) -> dict[str, str]:
    """Return the listed files with their SHA-256."""
    lines = path.read_text(encoding="utf-8").splitlines()
    matches = [_LISTED.fullmatch(line) for line in lines]
    if not lines or None in matches:
        raise ValueError("a line is no checksum with a name")
    return {match[2]: match[1] for match in matches if match is not None}


def _faults_of_content(name: str, path: Path, expected: str) -> Iterator[Fault]:
    try:
        with path.open("rb") as file:
            found = hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        yield _fault(name, UNREADABLE, f"the file cannot be read ({_reason(error)})", "fix its permissions or its disk")
        return
    if found != expected:
        yield _fault(name, CHANGED, "its content is not what was built; the checksum differs")


def _reason(error: Exception) -> str:
    return (error.strerror if isinstance(error, OSError) else None) or str(error)[:100]


def _fault(file: str, code: str, what: str, fix: str = _FETCH) -> Fault:
    return Fault(file, 0, "", code, "", what, fix)
