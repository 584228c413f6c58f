"""Answers as CSV (RFC 4180), for spreadsheets and scripts.

Owns: the columns, and cells that no spreadsheet takes for a formula. Does not own: the answers.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from typing import Any

from schemas.answers.answers import MatrixAnswer, RecordsAnswer

CSV = "text/csv"
MATRIX_COLUMNS = ("row", "column", "verdict", "decided_by")
_BEGINS_A_FORMULA = tuple("=+-@\t\r\n＝＋－＠")


def matrix_csv(answer: MatrixAnswer) -> str:
    """Return a matrix as CSV, one line a cell; several rules or limits in `decided_by` are separated by spaces.

    Args:
        answer: the matrix.
    """
    cells = ((one.row, one.column, one.verdict.value, " ".join(one.decided_by)) for one in answer.cells)
    return _written(MATRIX_COLUMNS, cells)


def records_csv(answer: RecordsAnswer) -> str:
    """Return a page of a table as CSV, with the table's own columns, behind them whether the row was withdrawn.

    Args:
        answer: the page; one without rows has no columns but the id.
    """
    columns = tuple(answer.records[0].values) if answer.records else ("id",)
    rows = ((*(_cell(one.values[name]) for name in columns), _cell(one.withdrawn)) for one in answer.records)
    return _written((*columns, "withdrawn"), rows)


def _cell(value: Any) -> str:
    """Return a cell's text as the tables write it: empty for unknown, several values separated by spaces."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return " ".join(map(str, value)) if isinstance(value, (list, tuple)) else str(value)


def _written(columns: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    file = io.StringIO(newline="")
    writer = csv.writer(file, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([harmless(cell) for cell in row] for row in rows)
    return file.getvalue()


def harmless(cell: str) -> str:
    """Return a cell's text, with an apostrophe before it if a spreadsheet could take it for a formula.

    >>> harmless("=1+1"), harmless("metal/copper")
    ("'=1+1", 'metal/copper')
    """
    return f"'{cell}" if cell.lstrip(" ").startswith(_BEGINS_A_FORMULA) else cell
