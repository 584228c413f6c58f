"""One more line in the text of a table, and not a byte changed elsewhere.

Owns: cells -> line, and the place of the line in the order of ids. Does not own: judging the row or writing files.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PlacedLine:
    """A new line of a table.

    Attributes:
        file: file name such as `tubes.csv`.
        line: number of the line, 1 = header.
        text: the line without its end.
    """

    file: str
    line: int
    text: str


def line_of(cells: Sequence[str]) -> str:
    """Return the line of a row, quoted only where it must be.

    >>> line_of(["alias/9-13", "9/13", "soft, thin"])
    'alias/9-13,9/13,"soft, thin"'
    """
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerow(cells)
    return text.getvalue().removesuffix("\n")


def with_line(file: str, content: bytes, cells: Sequence[str]) -> tuple[bytes, PlacedLine]:
    """Return the content of a table with one more row at its place in the order of ids, and where it stands.

    Args:
        file: file name such as `tubes.csv`.
        content: bytes of the table; its rows are sorted by id and are on one line each.
        cells: texts of the row in the order of the columns, the id first.
    """
    lines = content.split(b"\n")
    rows = lines[1:-1]
    place = next((number for number, row in enumerate(rows, 1) if _id_of(row) > cells[0]), len(rows) + 1)
    text = line_of(cells)
    lines.insert(place, text.encode(errors="surrogateescape"))
    return b"\n".join(lines), PlacedLine(file, place + 1, text)


def _id_of(line: bytes) -> str:
    return line.split(b",", 1)[0].decode(errors="surrogateescape").strip('"')
