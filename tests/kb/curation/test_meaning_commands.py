"""`wetted tables diff` and `wetted tables cover` as a curator calls them."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from api.cli.main import main
from kb.curation.diff.kind_pairs import KindPair
from kb.load import TABLES_FOLDER

LIMIT = "limit/o-ring-compression-small-rigid-compression"


class Outcome(NamedTuple):
    """How a call of `wetted` ended."""

    code: int
    out: str
    err: str


@pytest.fixture
def wetted(capsysbinary: pytest.CaptureFixture[bytes]) -> Callable[..., Outcome]:
    def call(*arguments: str) -> Outcome:
        code = main(arguments)
        captured = capsysbinary.readouterr()
        return Outcome(code, captured.out.decode(), captured.err.decode())

    return call


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return a folder of tables with another limit, as if it were an older state."""
    folder = tmp_path_factory.mktemp("before")
    for file in TABLES_FOLDER.iterdir():
        (folder / file.name).write_bytes(file.read_bytes())
    limits = folder / "limits.csv"
    text = limits.read_text(encoding="utf-8")
    old = f"{LIMIT},quantity/o-ring-compression-min,family/end-rigid-compression,at-least,10,"
    assert old in text
    limits.write_text(text.replace(old, old.replace(",10,", ",15,")), encoding="utf-8")
    return str(folder)


def test_diff_reports_what_changes_against_the_work_tree(wetted: Callable[..., Outcome], before: str) -> None:
    done = wetted("tables", "diff", before)
    assert (done.code, done.err) == (0, "")
    assert "work tree" in done.out
    assert f"because of {LIMIT}" in done.out
    assert "conditional -> compatible" in done.out


def test_diff_as_json_holds_every_change(wetted: Callable[..., Outcome], before: str) -> None:
    reported = json.loads(wetted("tables", "diff", before, str(TABLES_FOLDER), "--json").out)
    assert [row["row"] for row in reported["rows"]] == [LIMIT]
    assert len(reported["verdicts"]) > 50
    assert {tuple(change["causes"]) for change in reported["verdicts"]} == {(LIMIT,)}


def test_diff_as_markdown_is_a_report(wetted: Callable[..., Outcome], before: str, tmp_path: Path) -> None:
    done = wetted("tables", "diff", before, str(TABLES_FOLDER), "--markdown", "--loops", str(tmp_path))
    assert done.code == 0
    assert done.out.startswith("## ")
    assert f"`{LIMIT}`" in done.out
    assert "example loops: 0 of 0 differ" in done.out


@pytest.mark.parametrize("arguments", [("no-such-revision",), (".", "--json", "--markdown"), ("--", "-x"), ()])
def test_diff_that_cannot_be_asked_ends_in_a_line_and_code_2(
    wetted: Callable[..., Outcome], arguments: tuple[str, ...]
) -> None:
    done = wetted("tables", "diff", *arguments)
    assert done.code == 2
    assert done.out == "" or "Usage" in done.out
    assert "Traceback" not in done.err


def test_cover_reports_the_map_in_each_form(wetted: Callable[..., Outcome], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("kb.curation.diff.kind_pairs.KIND_PAIRS", (KindPair("material", "fluid"),))
    day = ("--today", "2026-11-25")
    text = wetted("tables", "cover", *day)
    assert text.code == 0
    assert "material with fluid" in text.out
    reported = json.loads(wetted("tables", "cover", *day, "--stale-days", "10", "--json").out)
    assert reported["stale_after_days"] == 10
    assert len(reported["gaps"]) == 10
    assert wetted("tables", "cover", *day, "--markdown").out.startswith("## ")
    assert wetted("tables", "cover", "--stale-days", "0").code == 2
