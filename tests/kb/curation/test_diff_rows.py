"""Rows are compared by their values, not by how they are written."""

from __future__ import annotations

import dataclasses
from datetime import date
from pathlib import Path

import pytest
from mutations import added, replaced, row_of, without

from kb.curation.diff.revisions import load_revision
from kb.curation.diff.rows import changed_rows, report_row
from kb.load import TABLES_FOLDER
from kb.store.frozen import BuiltTables
from schemas.answers.changes import RowChange, RowFate

TUBE = "tube/soft-10x16"


def reported(before: BuiltTables, after: BuiltTables) -> list[RowChange]:
    return [report_row(change) for change in changed_rows(before, after)]


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("tables")
    for file in TABLES_FOLDER.iterdir():
        (folder / file.name).write_bytes(file.read_bytes())
    return folder


def test_the_same_numbers_written_otherwise_are_no_change(tables: BuiltTables, copy: Path) -> None:
    limits = copy / "limits.csv"
    text = limits.read_text(encoding="utf-8")
    assert ",at-most,45,%" in text
    limits.write_text(text.replace(",at-most,45,%", ",at-most,45.00,%"), encoding="utf-8")
    assert reported(tables, load_revision(str(copy)).tables) == []


def test_a_changed_value_is_reported_with_both_numbers(tables: BuiltTables) -> None:
    row = row_of(tables, "tubes", TUBE)
    (change,) = reported(tables, replaced(tables, row, od_mm=15.9))
    assert (change.table, change.row, change.fate) == ("tubes", TUBE, RowFate.CHANGED)
    assert [(cell.column, cell.before, cell.after) for cell in change.cells] == [("od_mm", 16.0, 15.9)]


def test_added_and_removed_rows_are_told_apart(tables: BuiltTables) -> None:
    row = row_of(tables, "tubes", TUBE)
    new = added(tables, dataclasses.replace(row, id="tube/soft-10x17", od_mm=17.0))
    assert [(one.row, one.fate) for one in reported(tables, new)] == [("tube/soft-10x17", RowFate.ADDED)]
    assert [(one.row, one.fate) for one in reported(tables, without(tables, row))] == [(TUBE, RowFate.REMOVED)]


def test_withdrawing_and_restoring_a_row_are_fates_of_their_own(tables: BuiltTables) -> None:
    row = row_of(tables, "tubes", TUBE)
    gone = replaced(tables, row, withdrawn_on=date(2026, 11, 25), withdrawn_reason="nobody makes it")
    assert [one.fate for one in reported(tables, gone)] == [RowFate.WITHDRAWN]
    assert [one.fate for one in reported(gone, tables)] == [RowFate.RESTORED]
