"""Checks across tables: one promise about the data a file.

Owns: running all checks. Does not own: single cells (`schemas/tables/`), the form of files (`kb/csv_text.py`).
A check is a module with a permanent `CODE`, a `PROMISE` in one sentence and a function `faults(tables)`.
"""

from __future__ import annotations

from kb.checks import rules_agree
from kb.faults import Fault
from kb.table_rows import Tables

CHECKS = (rules_agree,)


def cross_table_faults(tables: Tables) -> list[Fault]:
    """Return the faults of every check over clean tables, in order of file and line."""
    return sorted(fault for check in CHECKS for fault in check.faults(tables))
