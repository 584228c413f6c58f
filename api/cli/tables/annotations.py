"""Faults as lines that continuous integration shows beside the changed lines.

Owns: the form of these lines, and where in its line a cell begins. Does not own: faults (`kb/store/faults.py`).
"""

from __future__ import annotations

import csv
import os
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from schemas.answers.faults import TableFault

_IN_MESSAGES = (("%", "%25"), ("\r", "%0D"), ("\n", "%0A"))
_IN_PROPERTIES = (*_IN_MESSAGES, (":", "%3A"), (",", "%2C"))


def annotation(folder: Path, fault: TableFault) -> str:
    r"""Return the line that marks one fault; the whole file is marked at its first line.

    Args:
        folder: the folder of the tables.
        fault: a fault of one of its files.

    >>> from schemas.answers.faults import TableFault
    >>> place = {"file": "a,b.csv", "line": 0, "column": "", "row_id": ""}
    >>> annotation(Path("nowhere"), TableFault(**place, code="TAB-001", what="100 %", fix="x", promise="y"))
    '::error file=nowhere/a%2Cb.csv,line=1,title=TAB-001::100 %25; fix: x'
    """
    path = folder / fault.file
    place = [("file", _shown(path)), ("line", str(max(fault.line, 1)))]
    start = cell_start(path, fault.line, fault.column) if fault.column else None
    if start is not None:
        place.append(("col", str(start)))
    place.append(("title", " ".join(part for part in (fault.code, fault.row_id, fault.column) if part)))
    properties = ",".join(f"{name}={_escaped(value, _IN_PROPERTIES)}" for name, value in place)
    return f"::error {properties}::{_escaped(f'{fault.what}; fix: {fault.fix}', _IN_MESSAGES)}"


def cell_start(path: Path, line: int, column: str) -> int | None:
    """Return at which character of its line a cell begins, 1 = the first; none if it cannot be told.

    Args:
        path: a table.
        line: number of the line, 1 = header.
        column: name of the column in the header.
    """
    try:
        lines = path.read_text(encoding="utf-8").split("\n")
        place = next(csv.reader(lines[:1])).index(column)
        return _start_of(lines[line - 1], place) if line else None
    except (OSError, ValueError, IndexError, StopIteration, csv.Error):
        return None


def _start_of(text: str, place: int) -> int | None:
    is_quoted = False
    left = place
    for number, character in enumerate(text, 1):
        if left == 0:
            return number
        is_quoted ^= character == '"'
        left -= character == "," and not is_quoted
    return len(text) + 1 if left == 0 else None


def _shown(path: Path) -> str:
    """Return a path as continuous integration knows it: from the current folder if it lies inside."""
    near = Path(os.path.relpath(path))
    return path.as_posix() if ".." in near.parts else near.as_posix()


def _escaped(text: str, signs: tuple[tuple[str, str], ...]) -> str:
    for sign, escaped in signs:
        text = text.replace(sign, escaped)
    return text
