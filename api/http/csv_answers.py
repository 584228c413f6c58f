"""Answers as CSV (RFC 4180), for spreadsheets and scripts.

Owns: the columns, and cells that no spreadsheet takes for a formula. Does not own: the answers.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from schemas.answers import MatrixAnswer

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
