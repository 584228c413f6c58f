"""A release appears whole or not at all, and replaces nothing but a release."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import pytest

from kb.curation.release import place_folder
from kb.curation.release.build import build_release
from kb.curation.release.place_folder import place
from kb.load import TABLES_FOLDER
from kb.store.faults import QuestionError
from kb.store.frozen import BuiltTables

CHECKOUT = Path(__file__).resolve().parents[4]
_PLACING = """
import sys
from itertools import count
from pathlib import Path
from kb.curation.release.place_folder import folder_in_the_making, place
target = Path(sys.argv[1])
for number in count(1):
    with folder_in_the_making(target) as draft:
        for name in "abcdef":
            (draft / name).write_text(str(number))
        place(draft, target)
    print(number, flush=True)
"""


def build(target: Path, tables: BuiltTables, replace: bool = False) -> None:
    build_release(target, tables, TABLES_FOLDER, replace=replace)


def test_a_folder_of_something_else_is_refused_and_left_alone(tables: BuiltTables, tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine/letter.txt").write_text("keep me")
    for replace in (False, True):
        with pytest.raises(QuestionError, match="is no release"):
            build(tmp_path / "mine", tables, replace)
    assert [path.name for path in (tmp_path / "mine").iterdir()] == ["letter.txt"]


def test_a_release_is_replaced_only_if_asked_for(copy: Path, tables: BuiltTables) -> None:
    (copy / "README.md").write_text("old")
    with pytest.raises(QuestionError, match="--replace"):
        build(copy, tables)
    assert (copy / "README.md").read_text() == "old"
    build(copy, tables, replace=True)
    assert (copy / "README.md").read_text() != "old"
    assert [path.name for path in copy.parent.iterdir()] == ["copy"]


def test_a_release_with_somebody_elses_files_is_not_replaced(copy: Path, tables: BuiltTables) -> None:
    (copy / "csv/notes.txt").write_text("keep me")
    with pytest.raises(QuestionError, match=r"csv/notes\.txt"):
        build(copy, tables, replace=True)
    assert (copy / "csv/notes.txt").read_text() == "keep me"


def test_a_failure_on_the_way_leaves_the_old_release_and_no_rubbish(
    copy: Path, tables: BuiltTables, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = (copy / "release.json").read_bytes()

    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("kb.curation.release.build.write_database", fail)
    with pytest.raises(OSError, match="No space"):
        build(copy, tables, replace=True)
    assert (copy / "release.json").read_bytes() == before
    assert [path.name for path in copy.parent.iterdir()] == ["copy"]


def test_a_kill_in_the_middle_leaves_one_whole_folder(tmp_path: Path) -> None:
    target = tmp_path / "target"
    for round_ in range(5):
        with subprocess.Popen(
            [sys.executable, "-c", _PLACING, str(target)], cwd=CHECKOUT, stdout=subprocess.PIPE
        ) as process:
            assert process.stdout is not None
            process.stdout.readline()
            time.sleep(0.01 * round_)
            process.kill()
        assert len({(target / name).read_text() for name in "abcdef"}) == 1


def test_where_folders_cannot_be_exchanged_the_new_one_still_arrives(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(place_folder, "_exchange", lambda *_: False)
    for name in ("draft", "target"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "file").write_text(name)
    place(tmp_path / "draft", tmp_path / "target")
    assert (tmp_path / "target/file").read_text() == "draft"
    assert [path.name for path in tmp_path.iterdir()] == ["target"]
