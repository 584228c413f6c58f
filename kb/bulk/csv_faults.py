"""Where a CSV file is damaged.

Owns: finding the line, and the words for it. Does not own: reading sound files (`kb/bulk/slices.py`).
"""

from __future__ import annotations

import csv
import io
from pathlib import Path

from kb.store.faults import QuestionError


def file_fault(path: Path, what: str, fix: str) -> QuestionError:
    """Return the error for a file that cannot be used as it stands."""
    return QuestionError("file", f"{path.name!r} {what}", fix)


def fault_in(path: Path, block: bytes, columns: int, rows: int | None, lines_before: int) -> QuestionError | None:
    """Return what is wrong with some lines of a file, `None` if nothing is.

    Args:
        path: the file.
        block: the lines.
        columns: how many cells a line must have.
        rows: how many rows somebody else read from them; `None` if they were refused.
        lines_before: how many lines stand before them.

    >>> str(fault_in(Path("in.csv"), b"x,y\\nz\\n", 2, 1, 1))
    "file: 'in.csv' has 1 cell in line 3; write 2 cells a line"
    """
    for damage, what, fix in ((_not_utf8, "is not UTF-8", "save it as UTF-8"), (_nul, "holds a NUL", "take it out")):
        place = damage(block)
        if place is not None:
            line = lines_before + block.count(b"\n", 0, place) + 1
            return file_fault(path, f"{what} in line {line}", fix)
    lines = io.StringIO(block.decode("utf-8"), newline="")
    reader = csv.reader(lines, strict=True)
    counted = 0
    try:
        for cells in reader:
            counted += 1
            if len(cells) != columns:
                said = f"{len(cells)} cell{'' if len(cells) == 1 else 's'}" if cells else "nothing"
                return file_fault(
                    path, f"has {said} in line {lines_before + reader.line_num}", f"write {columns} cells a line"
                )
    except csv.Error:
        return file_fault(path, f"is no CSV in line {lines_before + reader.line_num}", "fix the quotes there")
    if rows is None or counted == rows:
        return None
    return file_fault(path, f"cannot be read after line {lines_before}", "end all lines in one way, and close quotes")


def _not_utf8(block: bytes) -> int | None:
    try:
        block.decode("utf-8")
    except UnicodeDecodeError as error:
        return error.start
    return None


def _nul(block: bytes) -> int | None:
    return block.find(b"\0") if b"\0" in block else None
