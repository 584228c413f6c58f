"""The form of a table repaired, and not one value changed.

Owns: which differences of form are repaired: byte-order mark, line ends, blank lines, quotes, order of columns and
rows, outer blanks, style of numbers and days.
Does not own: what is wrong beyond that (`kb/load.py` reports it), or writing files (`kb/curation/rows/write_files.py`).

What could mean two things is left as it is: a decimal comma, letters that only look right, an unknown column, a last
line that may be cut off.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Context, Decimal

from kb.store.csv_text import BYTE_ORDER_MARK, read_rows
from kb.store.faults import Fault
from schemas.columns.columns import CellError, Field, fields_of, read_cell
from schemas.tables import ROW_CLASSES

BLANK_LINE = "CSV-009"  # the one fault of form that is repaired by leaving the line out
_NUMBER = re.compile(r"[-+]?(\d+(\.\d*)?|\.\d+)([eE][-+]?\d{1,2})?", re.ASCII)
_DAY = re.compile(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})([T ]00:00(:00)?)?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Tidied:
    """What became of one table.

    Attributes:
        file: file name such as `tubes.csv`.
        content: the tidy bytes; the given ones if nothing had to be repaired or nothing could be.
        repairs: what was repaired, in words.
        left: the faults of form for which the whole file was left as it is.
    """

    file: str
    content: bytes
    repairs: tuple[str, ...] = ()
    left: tuple[Fault, ...] = ()


def tidy(file: str, content: bytes) -> Tidied:
    r"""Return a table in the project's one form, with every readable value as it was.

    Args:
        file: name of a table's file.
        content: its bytes.

    >>> header = b"id,parent_id,title,description," + b"source_id,locator,basis,confidence,checked_on,"
    >>> header += b"checked_by,how_seen,confirmed_by,note,"
    >>> row = b"family/oil,,oil, Oils. ,source/trade-usage,,common-practice,high,2026/1/5,,,,,,"
    >>> made = tidy("families.csv", header + b"withdrawn_on,withdrawn_reason\r\n" + row + b"\r\n")
    >>> made.repairs, made.content.splitlines()[1]
    (('line ends', '2 cells'), b'family/oil,,oil,Oils.,source/trade-usage,,common-practice,high,2026-01-05,,,,,,')
    """
    fields = fields_of(ROW_CLASSES[file.removesuffix(".csv")])
    text = _with_line_feeds(content.removeprefix(BYTE_ORDER_MARK))
    given = _header(text)
    header = [name.strip() for name in given]
    names = [field.name for field in fields]
    rows, faults = read_rows(file, text, given if sorted(header) == sorted(names) else names)
    left = tuple(fault for fault in faults if fault.code != BLANK_LINE)
    if left:
        return Tidied(file, content, left=left)
    before = [dict(zip(header, row.cells, strict=True)) for row in rows]
    after = [{field.name: tidy_cell(field, row[field.name]) for field in fields} for row in before]
    in_order = sorted(after, key=lambda row: row["id"])
    made = _written(names, in_order)
    repairs = {
        "byte-order mark": content.startswith(BYTE_ORDER_MARK),
        "line ends": b"\r" in content,
        "blank lines": bool(faults),
        "header": given != names,
        _count(before, after): before != after,
        "order of rows": in_order != after,
    }
    reported = tuple(word for word, is_made in repairs.items() if is_made)
    return Tidied(file, made, reported or (("quotes",) if made != content else ()))


def tidy_cell(field: Field, text: str) -> str:
    """Return the text of a cell in the project's style: the same value, or the same text if it cannot be read.

    Args:
        field: the column the cell stands in.
        text: the raw text.

    >>> from schemas.tables.tubes import Tube
    >>> od = next(field for field in fields_of(Tube) if field.name == "od_mm")
    >>> [tidy_cell(od, text) for text in (" 13.50 ", "+13", "1.3e1", "13,5")]
    ['13.5', '13', '13', '13,5']
    """
    made = _canonical_text(field, text.strip())
    try:
        value = read_cell(field, made)
    except CellError:
        return text
    try:
        return made if read_cell(field, text) == value else text
    except CellError:
        return made


def _canonical_text(field: Field, text: str) -> str:
    if field.kind in (float, int) and _NUMBER.fullmatch(text):
        return _plain_number(text)
    if field.kind is date and (match := _DAY.fullmatch(text)):
        return f"{match[1]}-{int(match[3]):02}-{int(match[4]):02}"
    return " ".join(text.split()) if field.kind is tuple else text


def _plain_number(text: str) -> str:
    exact = Decimal(text).normalize(Context(prec=len(text)))
    return "0" if exact == 0 else f"{exact:f}"


def _with_line_feeds(content: bytes) -> bytes:
    """Return the lines ended by LF if they all end alike; a stray CR stays, to be told as a fault."""
    if b"\n" not in content:
        return content.replace(b"\r", b"\n")
    return content.replace(b"\r\n", b"\n") if content.count(b"\r\n") == content.count(b"\r") else content


def _header(content: bytes) -> list[str]:
    first = content.split(b"\n", 1)[0].decode(errors="replace")
    try:
        return next(csv.reader([first], strict=True), [])
    except csv.Error:
        return []


def _count(before: Sequence[Mapping[str, str]], after: Sequence[Mapping[str, str]]) -> str:
    changed = sum(old[name] != new[name] for old, new in zip(before, after, strict=True) for name in new)
    return f"{changed} cell{'s' if changed != 1 else ''}"


def _written(names: Sequence[str], rows: Sequence[Mapping[str, str]]) -> bytes:
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(names)
    writer.writerows([row[name] for name in names] for row in rows)
    return text.getvalue().encode()
