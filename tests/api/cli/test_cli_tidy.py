"""`wetted tables tidy`: repairs what is sure, leaves and reports the rest, and touches nothing that is tidy."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from kb.load import TABLES_FOLDER, load_tables


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    copy = tmp_path / "tables"
    shutil.copytree(TABLES_FOLDER, copy)
    return copy


def test_tidy_tables_are_not_touched(wetted: Callable, folder: Path) -> None:
    before = {path: path.stat().st_mtime_ns for path in folder.iterdir()}
    assert wetted("tables", "tidy", "--folder", str(folder)) == (0, "all tables are tidy\n", "")
    assert {path: path.stat().st_mtime_ns for path in folder.iterdir()} == before


def test_what_is_repaired_is_reported_and_the_tables_say_the_same_as_before(wetted: Callable, folder: Path) -> None:
    table = folder / "tubes.csv"
    table.write_bytes(b"\xef\xbb\xbf" + table.read_bytes().replace(b"\n", b"\r\n"))
    reported = wetted("tables", "tidy", "--folder", str(folder))
    assert reported == (0, "tubes.csv: repaired byte-order mark, line ends\n", "")
    assert table.read_bytes() == (TABLES_FOLDER / "tubes.csv").read_bytes()
    assert load_tables(folder).digest == load_tables().digest
    assert {path.name for path in folder.iterdir()} == {path.name for path in TABLES_FOLDER.iterdir()}


def test_check_writes_nothing(wetted: Callable, folder: Path) -> None:
    table = folder / "tubes.csv"
    spoiled = table.read_bytes().replace(b"\n", b"\r\n")
    table.write_bytes(spoiled)
    reported = wetted("tables", "tidy", "--check", "--folder", str(folder))
    assert reported == (3, "tubes.csv: would repair line ends\n", "")
    assert table.read_bytes() == spoiled


def test_a_file_that_may_be_cut_off_is_left_and_reported(wetted: Callable, folder: Path) -> None:
    table = folder / "tubes.csv"
    table.write_bytes(table.read_bytes()[:-40])
    reported = wetted("tables", "tidy", "--folder", str(folder))
    assert reported.code == 3
    assert reported.out.startswith("left as it is: tubes.csv:")
    assert "CSV-005" in reported.out


def test_a_missing_folder_is_reported(wetted: Callable, tmp_path: Path) -> None:
    reported = wetted("tables", "tidy", "--folder", str(tmp_path / "nothing"))
    assert reported.code == 3
    assert "no such folder" in reported.err
