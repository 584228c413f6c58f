"""A release is loaded by its path; a damaged one is refused with one clear error, never in part."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import kb
from api.cli.main import main
from kb.store.faults import TablesRefusedError
from kb.store.frozen import BuiltTables
from kb.store.release_reader import read_release


def refusal(path: Path) -> tuple[str, str]:
    """Return code and text of the one fault that a release is refused with."""
    with pytest.raises(TablesRefusedError) as refused:
        kb.load(path)
    (fault,) = refused.value.faults
    assert fault.fix
    return fault.code, str(fault)


def test_a_folder_and_its_database_alone_give_the_tables(release: Path, tables: BuiltTables, tmp_path: Path) -> None:
    alone = tmp_path / "elsewhere.duckdb"
    alone.write_bytes((release / "wetted.duckdb").read_bytes())
    assert read_release(release) == read_release(alone) == tables


def test_a_release_answers_like_the_tables(release: Path) -> None:
    verdict = kb.load(str(release)).decide("thread/g-1-4", "thread/npt-1-4").verdict
    assert verdict.value == "incompatible"


def test_the_setting_names_the_release_for_every_command(
    release: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("WETTED_TABLES", str(release))
    assert main(["pair", "thread/g-1-4", "thread/npt-1-4"]) == 12
    assert "INCOMPATIBLE" in capsys.readouterr().out


def test_a_damaged_release_ends_in_one_line_and_an_exit_code(
    copy: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (copy / "wetted.duckdb").write_bytes(b"no database at all")
    monkeypatch.setenv("WETTED_TABLES", str(copy))
    assert main(["version"]) == 3
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 2
    assert "wetted.duckdb" in err
    assert "Traceback" not in err


def test_other_tables_than_stated_are_refused_with_both_digests(copy: Path, tables: BuiltTables) -> None:
    marker = json.loads((copy / "release.json").read_text())
    (copy / "release.json").write_text(json.dumps(marker | {"digest": "0" * 64}))
    code, text = refusal(copy)
    assert code == "REL-002"
    assert "0" * 64 in text
    assert tables.digest in text
    assert "wetted.duckdb" in text


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b'{"release_of": "wetted"}', b'{"digest": 3}', b"\xff"])
def test_a_broken_marker_is_refused(content: bytes, copy: Path) -> None:
    (copy / "release.json").write_bytes(content)
    code, text = refusal(copy)
    assert (code, "release.json" in text) == ("REL-001", True)


def test_a_release_for_other_columns_says_so(copy: Path) -> None:
    marker = json.loads((copy / "release.json").read_text())
    (copy / "release.json").write_text(json.dumps(marker | {"columns": "0" * 64}))
    assert refusal(copy)[0] == "REL-003"


@pytest.mark.parametrize("missing", ["release.json", "wetted.duckdb"])
def test_a_release_with_a_file_missing_is_refused(missing: str, copy: Path) -> None:
    (copy / missing).unlink()
    code, text = refusal(copy)
    assert (code, missing in text) == ("REL-001", True)


@pytest.mark.parametrize("share", [0.0, 0.3, 0.9])
def test_a_truncated_database_is_refused(share: float, copy: Path) -> None:
    whole = (copy / "wetted.duckdb").read_bytes()
    (copy / "wetted.duckdb").write_bytes(whole[: int(len(whole) * share)])
    assert refusal(copy)[0] == "REL-001"


def test_a_flipped_bit_is_refused_or_harmless_but_never_answers_otherwise(copy: Path, tables: BuiltTables) -> None:
    database = copy / "wetted.duckdb"
    whole = database.read_bytes()
    refused = 0
    for number in range(24):
        spoiled = bytearray(whole)
        spoiled[(number * 2 + 1) * len(whole) // 48] ^= 1 << number % 8
        database.write_bytes(bytes(spoiled))
        try:
            assert read_release(copy) == tables
        except TablesRefusedError as error:
            assert len(error.faults) == 1
            refused += 1
    assert refused > 0
