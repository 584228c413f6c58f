"""`wetted tables check` tells a good release from a damaged one, whatever was damaged, and says which file it was."""

from __future__ import annotations

import csv
import hashlib
import io
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from api.cli.main import main
from kb.checks.codes import all_codes
from kb.curation.release.build import build_release
from kb.curation.release.check_release import check_path, check_release
from kb.load import TABLES_FOLDER, BuiltTables
from kb.store.digest import tables_digest
from kb.store.faults import QuestionError

EVERY_FILE = sorted(
    ["README.md", "CHANGELOG.md", "CITATION.cff", "LICENSE", "LICENSE-DATA.md", "release.json", "datapackage.json"]
    + ["openapi.json", "schemas/questions.json", "schemas/answers.json"]
    + [f"{form}/{path.stem}.{form}" for path in TABLES_FOLDER.glob("*.csv") for form in ("csv", "parquet")]
)


def flip_a_bit(path: Path) -> None:
    spoiled = bytearray(path.read_bytes())
    spoiled[len(spoiled) // 2] ^= 1
    path.write_bytes(spoiled)


def empty(path: Path) -> None:
    path.write_bytes(b"")


def delete(path: Path) -> None:
    path.unlink()


def add_a_line(path: Path) -> None:
    path.write_bytes(path.read_bytes() + b"\n")


def found(path: Path) -> set[tuple[str, str]]:
    faults = check_release(path)
    assert all(fault.what and fault.fix for fault in faults)
    return {(fault.file, fault.code) for fault in faults}


def write_checksums(release: Path) -> None:
    """List the files as they are now, as somebody would who changed some on purpose."""
    path = release / "SHA256SUMS"
    names = [line.split("  ", 1)[1] for line in path.read_text().splitlines()]
    sums = [hashlib.sha256((release / name).read_bytes()).hexdigest() for name in names]
    path.write_text("".join(f"{one}  {name}\n" for one, name in zip(sums, names, strict=True)))


def test_a_good_release_and_its_database_alone_have_no_faults(release: Path, tmp_path: Path) -> None:
    alone = tmp_path / "elsewhere.duckdb"
    alone.write_bytes((release / "wetted.duckdb").read_bytes())
    assert check_path(release) == check_path(alone) == []


def test_the_command_says_so(release: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["tables", "check", "--folder", str(release)]) == 0
    assert capsys.readouterr().out == f"no faults in {release}\n"


def test_the_list_of_files_is_complete(release: Path) -> None:
    there = {path.relative_to(release).as_posix() for path in release.rglob("*") if path.is_file()}
    assert there == {*EVERY_FILE, "SHA256SUMS", "wetted.duckdb"}


@pytest.mark.parametrize("damage", [flip_a_bit, empty, add_a_line])
def test_every_changed_file_is_named(copy: Path, damage: Callable[[Path], None]) -> None:
    for name in EVERY_FILE:
        damage(copy / name)
    assert {(name, "REL-006") for name in EVERY_FILE} <= found(copy)


@pytest.mark.parametrize("name", EVERY_FILE[::16])
def test_no_other_file_is_named_than_the_one_that_was_changed(copy: Path, name: str) -> None:
    flip_a_bit(copy / name)
    assert found(copy) - {(name, "REL-001")} == {(name, "REL-006")}


def test_of_every_file_it_is_reported_that_it_is_missing(copy: Path) -> None:
    for name in EVERY_FILE:
        delete(copy / name)
    assert {(name, "REL-005") for name in EVERY_FILE} <= found(copy)


@pytest.mark.parametrize("damage", [flip_a_bit, empty, delete])
def test_a_damaged_database_is_named(copy: Path, damage: Callable[[Path], None]) -> None:
    database = copy / "wetted.duckdb"
    if damage is flip_a_bit:
        database.write_bytes(database.read_bytes()[: database.stat().st_size // 2])
    else:
        damage(database)
    assert {file for file, code in found(copy) if code in ("REL-001", "REL-002")} == {"wetted.duckdb"}


@pytest.mark.parametrize("content", [b"", b"\xff", b"no list\n", b"0" * 64 + b" LICENSE\n", None])
def test_a_broken_list_of_checksums_is_named(copy: Path, content: bytes | None) -> None:
    (copy / "SHA256SUMS").unlink()
    if content is not None:
        (copy / "SHA256SUMS").write_bytes(content)
    assert found(copy) == {("SHA256SUMS", "REL-004")}


def test_a_line_taken_from_the_list_and_a_foreign_file_are_reported(copy: Path) -> None:
    listed = (copy / "SHA256SUMS").read_text().splitlines(keepends=True)
    (copy / "SHA256SUMS").write_text("".join(line for line in listed if not line.endswith("csv/tubes.csv\n")))
    (copy / "csv/tubes copy.csv").write_text("mine")
    assert found(copy) == {("csv/tubes.csv", "REL-007"), ("csv/tubes copy.csv", "REL-007")}


def test_a_list_that_points_out_of_the_folder_reads_nothing_there(copy: Path, tmp_path: Path) -> None:
    (tmp_path / "secret").write_text("secret")
    with (copy / "SHA256SUMS").open("a") as file:
        file.write(f"{hashlib.sha256(b'secret').hexdigest()}  ../secret\n{'0' * 64}  /etc/passwd\n")
    assert found(copy) == {("../secret", "REL-005"), ("/etc/passwd", "REL-005")}


def test_other_tables_than_stated_are_reported_even_under_new_checksums(copy: Path) -> None:
    marker = json.loads((copy / "release.json").read_text())
    (copy / "release.json").write_text(json.dumps(marker | {"digest": "0" * 64}))
    write_checksums(copy)
    assert found(copy) == {("wetted.duckdb", "REL-002")}


def test_rows_that_break_a_promise_are_reported_at_their_line_of_the_release(
    tables: BuiltTables, tmp_path: Path
) -> None:
    rows = dict(tables.rows)
    rows["tubes"] = tuple(replace(row, od_mm=9.0) if row.id == "tube/soft-10x16" else row for row in rows["tubes"])
    other = BuiltTables(rows, tables.version, tables_digest(rows))
    build_release(tmp_path / "release", other, TABLES_FOLDER)
    faults = check_release(tmp_path / "release")
    assert {(fault.file, fault.row_id) for fault in faults} == {("csv/tubes.csv", "tube/soft-10x16")}
    shown = list(csv.reader(io.StringIO((tmp_path / "release/csv/tubes.csv").read_text())))
    assert {shown[fault.line - 1][0] for fault in faults} == {"tube/soft-10x16"}


def test_a_folder_inside_a_release_points_to_the_whole(release: Path) -> None:
    for name in ("csv", "parquet", "schemas"):
        with pytest.raises(QuestionError, match=str(release)):
            check_path(release / name)


def test_a_release_without_marker_and_database_is_still_taken_for_one(copy: Path) -> None:
    delete(copy / "wetted.duckdb")
    delete(copy / "release.json")
    assert {code for _, code in found(copy)} == {"REL-001", "REL-005"}


def test_the_command_reports_faults_as_lines_as_json_and_as_annotations(
    copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    add_a_line(copy / "csv/tubes.csv")
    reported = []
    for form in ((), ("--json",), ("--annotations",)):
        assert main(["tables", "check", "--folder", str(copy), *form]) == 3
        reported.append(capsys.readouterr().out)
    assert reported[0].startswith("csv/tubes.csv:0 REL-006: ")
    [fault] = json.loads(reported[1])["faults"]
    assert (fault["file"], fault["code"]) == ("csv/tubes.csv", "REL-006")
    assert fault["promise"] in {one.promise for one in all_codes()}
    assert reported[2].startswith("::error file=") and "csv/tubes.csv,line=1,title=REL-006::" in reported[2]


def test_a_folder_of_tables_is_checked_as_before(tmp_path: Path) -> None:
    assert check_path(TABLES_FOLDER) == []
    assert {fault.code for fault in check_path(tmp_path)} == {"TAB-002", "TAB-004"}
