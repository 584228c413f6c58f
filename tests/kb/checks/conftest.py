"""A copy of today's tables that a test may spoil, one cell, row or line at a time."""

from __future__ import annotations

import csv
import io
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from kb.checks import cross_table_faults
from kb.load import TABLES_FOLDER, check_folder
from kb.store.faults import Fault
from kb.store.typed_rows import Tables, read_tables
from schemas.tables import ROW_CLASSES


class SpoiledTables:
    """A folder of tables with the few changes of one test.

    `faults` reads only the changed tables again and takes the others as they are; `faults_of_folder` starts from the
    files and is slower.
    """

    def __init__(self, folder: Path, sound: Tables) -> None:
        self.folder = folder
        self._sound = sound
        self._changed: set[str] = set()

    def read(self, table: str) -> bytes:
        return (self.folder / f"{table}.csv").read_bytes()

    def write(self, table: str, content: bytes) -> None:
        (self.folder / f"{table}.csv").write_bytes(content)
        self._changed.add(table)

    def set(self, table: str, row_id: str, **cells: str) -> None:
        """Overwrite cells of one row."""
        rows = self._rows(table)
        next(row for row in rows if row["id"] == row_id).update(cells)
        self._save(table, rows)

    def add(self, table: str, like: str, **cells: str) -> None:
        """Add a copy of the row `like` with other cells, at its place in the order of ids."""
        rows = self._rows(table)
        new = {**next(row for row in rows if row["id"] == like), **cells}
        self._save(table, sorted([*rows, new], key=lambda row: row["id"]))

    def drop(self, table: str, row_id: str) -> None:
        """Take a row out."""
        self._save(table, [row for row in self._rows(table) if row["id"] != row_id])

    def swap(self, table: str, row_id: str) -> None:
        """Exchange a row with the one below it."""
        rows = self._rows(table)
        place = next(number for number, row in enumerate(rows) if row["id"] == row_id)
        rows[place], rows[place + 1] = rows[place + 1], rows[place]
        self._save(table, rows)

    def withdraw(self, table: str, row_id: str) -> None:
        """Withdraw a row, with day and reason."""
        self.set(table, row_id, withdrawn_on="2026-11-26", withdrawn_reason="spoiled by a test")

    def line(self, table: str, row_id: str) -> int:
        """Return the line on which a row stands."""
        start = row_id.encode() + b","
        return next(number for number, line in enumerate(self.read(table).split(b"\n"), 1) if line.startswith(start))

    def changed_lines(self) -> list[tuple[str, int]]:
        """Return table and number of every line that is not as it was."""
        changed = []
        for table in sorted(self._changed):
            before, now = (TABLES_FOLDER / f"{table}.csv").read_bytes(), self.read(table)
            lines = zip(before.split(b"\n"), now.split(b"\n"), strict=True)
            changed += [(table, number) for number, (old, new) in enumerate(lines, 1) if old != new]
        return changed

    def faults(self) -> list[Fault]:
        changed = {f"{table}.csv": self.read(table) for table in self._changed}
        again, faults = read_tables(changed)
        faults = [fault for fault in faults if fault.code != "TAB-002"]
        rows = {**self._sound.rows, **{table: again.rows[table] for table in self._changed}}
        lines = {**self._sound.lines, **{table: again.lines[table] for table in self._changed}}
        sound = Tables(rows, lines).without({fault.file for fault in faults})
        return [*faults, *cross_table_faults(sound)]

    def faults_of_folder(self) -> list[Fault]:
        return check_folder(self.folder)

    def places(self) -> list[tuple[str, str, int, str]]:
        """Return code, table, line and column of every fault."""
        return [(fault.code, fault.file.removesuffix(".csv"), fault.line, fault.column) for fault in self.faults()]

    def place(self, code: str, table: str, row_id: str, column: str) -> tuple[str, str, int, str]:
        """Return the place of a fault as `places` gives it."""
        return (code, table, self.line(table, row_id), column)

    def _rows(self, table: str) -> list[dict[str, str]]:
        return list(csv.DictReader(io.StringIO(self.read(table).decode(), newline="")))

    def _save(self, table: str, rows: list[dict[str, str]]) -> None:
        text = io.StringIO(newline="")
        writer = csv.DictWriter(text, fieldnames=list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
        self.write(table, text.getvalue().encode())


@pytest.fixture(scope="session")
def sound_tables() -> Tables:
    tables, faults = read_tables({f"{name}.csv": (TABLES_FOLDER / f"{name}.csv").read_bytes() for name in ROW_CLASSES})
    assert not faults
    return tables


@pytest.fixture
def spoil(tmp_path: Path, sound_tables: Tables) -> SpoiledTables:
    folder = tmp_path / "tables"
    shutil.copytree(TABLES_FOLDER, folder)
    return SpoiledTables(folder, sound_tables)


@pytest.fixture
def sound(sound_tables: Tables) -> Callable[[object], list[Fault]]:
    """Run one check over today's tables."""
    return lambda check: list(check.faults(sound_tables))  # type: ignore[attr-defined]
