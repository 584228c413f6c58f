"""Strict reading of one CSV file: everything a spreadsheet may have done to it is refused with its place.

Owns: bytes -> header and cells of text with line numbers. Does not own: what the cells mean (`kb/store/typed_rows.py`).
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kb.store.faults import Fault

BYTE_ORDER_MARK = b"\xef\xbb\xbf"
_OTHER_SEPARATORS = ((";", "semicolons"), ("\t", "tabs"), ("|", "upright strokes"))
LARGEST_FILE_BYTES = 32 * 1024 * 1024  # guards memory; a thousand times today's largest table


@dataclass(frozen=True, slots=True)
class RawRow:
    """The cells of one line, as text.

    Attributes:
        line: number of the line the row begins on, 1 = header.
        cells: one text per column.
    """

    line: int
    cells: tuple[str, ...]


def read_rows(file: str, content: bytes, columns: Sequence[str]) -> tuple[list[RawRow], list[Fault]]:
    """Return the rows of a CSV file and everything wrong with its form.

    Args:
        file: name for the faults.
        content: the bytes of the file: UTF-8, comma, LF, header first, last line ended.
        columns: the exact header expected.

    Returns:
        Rows of sound form, and faults (codes CSV-...). With any fault the rows must not be used as a table, only to
        look for further faults; under a wrong header there are none.
    """
    fault = _fault_of_bytes(file, content)
    if fault is not None:
        return [], [fault]
    records, broken = _records(file, content.decode("utf-8"))
    if not records:
        empty = _fault(file, 1, "CSV-007", "the file is empty", "write the header " + ",".join(columns))
        return [], broken or [empty]
    header = list(_faults_of_header(file, records[0].cells, columns))
    if header:
        return [], header + broken
    found = [(row, _fault_of_row(file, row, len(columns))) for row in records[1:]]
    sound = [row for row, fault in found if fault is None]
    return sound, [fault for _, fault in found if fault is not None] + broken


def _records(file: str, text: str) -> tuple[list[RawRow], list[Fault]]:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    rows: list[RawRow] = []
    start = 1
    try:
        for cells in reader:
            rows.append(RawRow(start, tuple(cells)))
            start = reader.line_num + 1
    except csv.Error as error:
        fix = "close the quotes, and double those inside a cell"
        return rows, [_fault(file, start, "CSV-006", f"quoting is broken ({error})", fix)]
    return rows, []


def _fault(file: str, line: int, code: str, what: str, fix: str) -> Fault:
    return Fault(file, line, "", code, "", what, fix)


def _fault_of_bytes(file: str, content: bytes) -> Fault | None:
    if len(content) > LARGEST_FILE_BYTES:
        return _fault(file, 0, "CSV-001", f"{len(content)} bytes are too many", "keep a table below 32 MiB")
    if content.startswith(BYTE_ORDER_MARK):
        return _fault(file, 1, "CSV-002", "the file starts with a byte-order mark", "save as UTF-8 without one")
    try:
        content.decode("utf-8")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        return _fault(file, line, "CSV-003", "the text is not UTF-8", "save the file as UTF-8")
    for byte, name in ((b"\r", "a carriage return (CR or CRLF line ends)"), (b"\0", "a NUL character")):
        if byte in content:
            line = content[: content.index(byte)].count(b"\n") + 1
            return _fault(file, line, "CSV-004", f"the line holds {name}", "end lines with LF alone, in plain text")
    if content and not content.endswith(b"\n"):
        line = content.count(b"\n") + 1
        return _fault(file, line, "CSV-005", "the last line is not ended, so it may be cut off", "end it with LF")
    return None


def _fault_of_row(file: str, row: RawRow, width: int) -> Fault | None:
    if not any(row.cells):
        return _fault(file, row.line, "CSV-009", "the line is blank", "delete the line")
    if len(row.cells) != width:
        what = f"{len(row.cells)} cells where the header has {width}"
        return _fault(file, row.line, "CSV-010", what, "add or remove commas, or quote a cell that holds a comma")
    if any("\n" in cell for cell in row.cells):
        return _fault(file, row.line, "CSV-011", "a cell holds a line break", "write the cell on one line")
    return None


def _faults_of_header(file: str, header: tuple[str, ...], columns: Sequence[str]) -> Iterator[Fault]:
    if header == tuple(columns):
        return
    separator = next((name for char, name in _OTHER_SEPARATORS if len(header) == 1 and char in header[0]), None)
    if separator or not header:
        what = f"cells are separated by {separator}" if separator else "the first line is blank"
        yield _fault(file, 1, "CSV-008", what, "save with commas, the header on the first line")
        return
    missing = [name for name in columns if name not in header]
    extra = [name for name in header if name not in columns]
    double = sorted({name for name in header if header.count(name) > 1})
    for names, word in ((missing, "lacks"), (extra, "has the unknown column"), (double, "repeats")):
        if names:
            yield _fault(file, 1, "CSV-008", f"the header {word} {', '.join(names)}", "write " + ",".join(columns))
    if not missing and not extra and not double:
        yield _fault(file, 1, "CSV-008", "the columns stand in another order", "write " + ",".join(columns))
