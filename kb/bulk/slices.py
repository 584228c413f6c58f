"""The rows of a bulk file, slice by slice, as something DuckDB can select from.

Owns: the two forms of file, their columns, and where one slice ends and the next begins. Does not own: damaged CSV
(`kb/bulk/csv_faults.py`), or what the rows are answered.
"""

from __future__ import annotations

import csv
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, NamedTuple, Protocol

from kb.bulk.csv_faults import fault_in, file_fault
from kb.bulk.session import text

if TYPE_CHECKING:
    import duckdb

PARTS = ("a", "b")
MET = "met"  # column of requirements stated as met, with blanks between them
LARGE_ROWS, SMALL_ROWS = 1 << 22, 1 << 17
LARGE_BYTES, SMALL_BYTES = 64 << 20, 8 << 20
LONGEST_LINE_BYTES = 1 << 20
_MARK = b"\xef\xbb\xbf"


class Slice(NamedTuple):
    """Some rows that follow one another.

    Attributes:
        relation: what DuckDB selects from to get them, in order.
        end: where the next slice begins; rows or bytes, as the file counts.
        block: the bytes themselves, if they come from text.
    """

    relation: str
    end: int
    block: bytes = b""


class Source(Protocol):
    """A file of rows.

    Attributes:
        columns: its columns in order: `a`, `b` and quantities that are conditions.
        total: where its last slice ends.
    """

    columns: tuple[str, ...]
    total: int

    def slice_at(self, start: int, is_small: bool) -> Slice:
        """Return the slice that begins where another one ended; 0 = the first row.

        Args:
            start: its place, before `total`.
            is_small: whether each of its rows may be a question of its own, which takes memory.

        Raises:
            QuestionError: if the file is damaged.
        """

    def check(self, one: Slice, rows: int | None) -> None:
        """Hold the rows that DuckDB read from a slice against the slice.

        Args:
            one: the slice.
            rows: how many it read; `None` if it refused.

        Raises:
            QuestionError: if the file is damaged there.
        """


class ParquetSource:
    """Rows of a Parquet file; places count rows."""

    def __init__(self, connection: duckdb.DuckDBPyConnection, path: Path) -> None:
        """Look at the file.

        Raises:
            QuestionError: if it is no Parquet file.
        """
        import duckdb  # noqa: PLC0415

        self._path = path
        self._table = f"read_parquet({text(str(path))}, file_row_number = true)"
        try:
            described = connection.execute(f"DESCRIBE SELECT * EXCLUDE (file_row_number) FROM {self._table}").fetchall()
            counted = connection.execute(f"SELECT count(*) FROM {self._table}").fetchone()
        except duckdb.Error:
            raise file_fault(path, "is no Parquet file that can be read", "write it anew, or give CSV") from None
        self.columns = tuple(row[0] for row in described)
        self.total: int = counted[0] if counted else 0

    def slice_at(self, start: int, is_small: bool) -> Slice:
        """Return a slice of whole rows."""
        end = min(start + (SMALL_ROWS if is_small else LARGE_ROWS), self.total)
        where = f"file_row_number >= {start} AND file_row_number < {end}"
        return Slice(f"(SELECT * FROM {self._table} WHERE {where})", end)

    def check(self, one: Slice, rows: int | None) -> None:
        """Refuse a slice that cannot be read."""
        if rows is None:
            raise file_fault(self._path, f"is damaged before row {one.end}", "write it anew")


class CsvSource:
    """Rows of a CSV file (RFC 4180, UTF-8, header); places count bytes."""

    def __init__(self, path: Path, work: Path) -> None:
        """Look at the file.

        Args:
            path: the file.
            work: folder for one slice at a time.

        Raises:
            QuestionError: if the header cannot be read.
        """
        self._path, self._block = path, work / "block.csv"
        self.total = path.stat().st_size
        with path.open("rb") as file:
            line = file.readline(LONGEST_LINE_BYTES)
        self._head = len(line)
        self.columns = _header(path, line)
        types = ", ".join(f"{text(column)}: 'VARCHAR'" for column in self.columns)
        options = "header = false, auto_detect = false, delim = ',', quote = '\"', escape = '\"', strict_mode = true"
        self._relation = f"read_csv({text(str(self._block))}, columns = {{{types}}}, {options})"

    def slice_at(self, start: int, is_small: bool) -> Slice:
        """Return a slice of whole lines; a line end inside quotes ends no line."""
        start = max(start, self._head)
        with self._path.open("rb") as file:
            block = self._whole_lines(file, start, SMALL_BYTES if is_small else LARGE_BYTES)
        self._block.write_bytes(block.replace(b"\r\n", b"\n"))
        return Slice(self._relation, start + len(block), block)

    def _whole_lines(self, file: BinaryIO, place: int, step: int) -> bytes:
        file.seek(place)
        block = file.read(step)
        if place + len(block) >= self.total:
            return block
        end = len(block)
        is_inside_quotes = block.count(b'"') % 2 == 1
        while True:
            line_end = block.rfind(b"\n", 0, end) + 1
            is_inside_quotes ^= block.count(b'"', line_end, end) % 2 == 1
            if not line_end or len(block) - line_end > LONGEST_LINE_BYTES:
                raise file_fault(self._path, f"has a line of more than {LONGEST_LINE_BYTES} bytes", "close its quotes")
            if not is_inside_quotes:
                return block[:line_end]
            end = line_end - 1

    def check(self, one: Slice, rows: int | None) -> None:
        """Refuse a slice whose lines DuckDB skipped, joined or could not read."""
        lines = one.block.count(b"\n") + (not one.block.endswith(b"\n"))
        if rows != lines or b"\0" in one.block:
            fault = fault_in(self._path, one.block, len(self.columns), rows, self._lines_before(one))
            if fault is not None:
                raise fault

    def _lines_before(self, one: Slice) -> int:
        left, lines = one.end - len(one.block), 0
        with self._path.open("rb") as file:
            while left > 0:
                piece = file.read(min(left, LONGEST_LINE_BYTES))
                lines += piece.count(b"\n")
                left -= len(piece)
        return lines


def _header(path: Path, line: bytes) -> tuple[str, ...]:
    try:
        words = line.removeprefix(_MARK).decode("utf-8").rstrip("\r\n")
        [columns] = csv.reader([words], strict=True)
    except (UnicodeDecodeError, ValueError, csv.Error):
        raise file_fault(path, "has no header that can be read", "begin it with the line a,b") from None
    return tuple(columns)
