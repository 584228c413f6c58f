"""`wetted tables check` and `codes`: lines for people, JSON for programs, annotations for continuous integration."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from api.cli.tables.annotations import cell_start
from kb.checks import CHECKS
from kb.load import TABLES_FOLDER
from schemas.answers.faults import CheckAnswer, CodesAnswer

WRONG_CELL = (b"soft tube 10 x 13 mm,10 x 13 mm,both,,10,,13,", b'soft tube 10 x 13 mm,10 x 13 mm,both,,10,,"13,0",')


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Tables with a decimal comma in one file and a remembered row of high confidence in another."""
    spoiled = tmp_path / "tables"
    shutil.copytree(TABLES_FOLDER, spoiled)
    _replace(spoiled / "tubes.csv", *WRONG_CELL)
    _replace(spoiled / "reservoirs.csv", b"from-memory,low", b"from-memory,high")
    return spoiled


def _replace(path: Path, old: bytes, new: bytes) -> None:
    content = path.read_bytes()
    assert old in content
    path.write_bytes(content.replace(old, new, 1))


def test_the_json_answer_names_every_fault_with_its_promise(wetted: Callable, folder: Path) -> None:
    reported = wetted("tables", "check", "--folder", str(folder), "--json")
    answer = CheckAnswer.from_json(reported.out)
    assert reported.code == 3
    assert [(one.file, one.column, one.code) for one in answer.faults] == [
        ("reservoirs.csv", "confidence", "SRC-003"),
        ("tubes.csv", "od_mm", "CEL-001"),
    ]
    assert answer.faults[0].promise == "What is only remembered is of low confidence."
    assert set(json.loads(reported.out)["faults"][0]) == {
        *("file", "line", "column", "row_id", "code", "what", "fix", "promise"),
    }


def test_checks_across_tables_run_where_tables_are_clean_and_say_what_they_wait_for(
    wetted: Callable, folder: Path
) -> None:
    reported = wetted("tables", "check", "--folder", str(folder))
    assert re.findall(r"[A-Z]{3}-\d{3}", reported.out) == ["SRC-003", "CEL-001"]
    assert reported.err == "wetted: checks across tables that read tubes.csv run once these are clean\n"


def test_an_annotation_names_the_place_of_the_cell(wetted: Callable, folder: Path) -> None:
    reported = wetted("tables", "check", "--folder", str(folder), "--annotations")
    (line,) = [line for line in reported.out.splitlines() if "CEL-001" in line]
    number, start = map(int, re.findall(r"line=(\d+),col=(\d+)", line)[0])
    text = (folder / "tubes.csv").read_text().split("\n")[number - 1]
    assert text[start - 1 :].startswith('"13,0",')
    assert line.endswith("title=CEL-001 tube/soft-10x13 od_mm::'13,0' has a decimal comma; fix: write 13.0")
    assert f"file={folder.as_posix()}/tubes.csv," in line


def test_annotations_name_files_from_the_current_folder(
    wetted: Callable, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folder.parent)
    reported = wetted("tables", "check", "--folder", str(folder), "--annotations")
    assert all(line.startswith("::error file=tables/") for line in reported.out.splitlines())


def test_every_fault_is_one_annotation_whatever_it_holds(wetted: Callable, folder: Path) -> None:
    (folder / "a\nb,c:d%.csv").write_bytes(b"")
    _replace(folder / "cautions.csv", b"air pressure,", b'"50 %, a::b\r",')
    reported = wetted("tables", "check", "--folder", str(folder), "--annotations")
    assert len(reported.out.splitlines()) == 4
    for line in reported.out.splitlines():
        assert re.fullmatch(r"::error file=[^,:]+,line=[1-9]\d*(,col=[1-9]\d*)?,title=[^,:]+::.+; fix: .+", line)


def test_sound_tables_give_no_annotation(wetted: Callable) -> None:
    assert wetted("tables", "check", "--annotations") == (0, "", "")


def test_sound_tables_give_an_empty_list(wetted: Callable) -> None:
    reported = wetted("tables", "check", "--json")
    assert (reported.code, json.loads(reported.out)["faults"]) == (0, [])


def test_json_and_annotations_exclude_each_other(wetted: Callable) -> None:
    assert wetted("tables", "check", "--json", "--annotations").code == 2


@pytest.mark.parametrize(("column", "start"), [("id", 1), ("b", 5), ("c", 13), ("d", 14)])
def test_a_cell_is_found_behind_quoted_commas(tmp_path: Path, column: str, start: int) -> None:
    table = tmp_path / "table.csv"
    table.write_text('id,b,c,d\nx/y,"a,""b",,z\n')
    assert cell_start(table, 2, column) == start


def test_one_code_is_explained_and_an_unknown_one_answered_with_its_neighbours(wetted: Callable) -> None:
    assert wetted("tables", "codes", "tub-001").out == (
        "TUB-001  A tube is wider outside than inside, by twice its wall.  [kb/checks/tube_walls.py]\n"
    )
    reported = wetted("tables", "codes", "tub-999")
    assert reported.code == 2
    assert "TUB-001, TUB-002" in reported.err


def test_all_codes_are_listed(wetted: Callable) -> None:
    answer = CodesAnswer.from_json(wetted("tables", "codes", "--json").out)
    codes = [one.code for one in answer.codes]
    assert codes == sorted(set(codes))
    assert {check.CODE for check in CHECKS} < set(codes)
