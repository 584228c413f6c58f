"""States of the tables come from git revisions or folders, or are refused in one clear error."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest

from kb.curation.diff.revisions import load_revision, load_work_tree
from kb.load import TABLES_FOLDER
from kb.store.faults import QuestionError, TablesRefusedError
from kb.store.frozen import BuiltTables


def git(folder: Path, *arguments: str) -> None:
    blank = {**os.environ, "GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_SYSTEM": os.devnull}
    own = ["-c", "user.name=test", "-c", "user.email=test@localhost", "-c", "commit.gpgsign=false"]
    subprocess.run(["git", *own, "-C", str(folder), *arguments], check=True, capture_output=True, env=blank)


@pytest.fixture(scope="module")
def checkout(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the tables folder of a repository with a good, a strange and a spoiled revision."""
    root = tmp_path_factory.mktemp("checkout")
    folder = root / "kb" / "tables"
    shutil.copytree(TABLES_FOLDER, folder)
    git(root, "init", "--quiet", "--initial-branch=trunk")
    git(root, "add", ".")
    git(root, "commit", "--quiet", "-m", "good")
    git(root, "tag", "good")
    limits = folder / "limits.csv"
    good = limits.read_text(encoding="utf-8")
    limits.write_text(good.replace(",consequence,", ",outcome,", 1), encoding="utf-8")
    git(root, "commit", "--quiet", "-a", "-m", "other columns")
    git(root, "tag", "other-columns")
    limits.write_text(good, encoding="utf-8")
    git(root, "rm", "--quiet", "-r", "--cached", ".")
    git(root, "commit", "--quiet", "-m", "no tables", "--allow-empty")
    git(root, "tag", "no-tables")
    return folder


def test_a_revision_gives_the_tables_as_they_were_committed(checkout: Path, tables: BuiltTables) -> None:
    assert load_revision("good", checkout).tables.digest == tables.digest
    assert load_revision("trunk~2", checkout).tables.digest == tables.digest


def test_a_folder_of_tables_is_a_state_too(checkout: Path, tables: BuiltTables) -> None:
    assert load_revision(str(checkout), checkout).tables.digest == tables.digest
    assert load_work_tree(checkout).tables.digest == tables.digest


def test_other_columns_of_old_are_reported_in_one_error_with_the_first_faults(checkout: Path) -> None:
    with pytest.raises(QuestionError) as refused:
        load_revision("other-columns", checkout)
    assert "today's schemas refuse the tables of other-columns" in refused.value.what
    assert "limits.csv" in refused.value.what


def test_a_table_that_is_younger_than_a_revision_had_no_rows_then(tmp_path: Path) -> None:
    folder = tmp_path / "tables"
    shutil.copytree(TABLES_FOLDER, folder)
    (folder / "fan_points.csv").unlink()
    assert load_revision(str(folder)).tables.rows["fan_points"] == ()


@pytest.mark.parametrize(
    "name",
    [
        "nosuch",
        "-x",
        "--upload-pack=x",
        "",
        "good\nx",
        "good; touch /tmp/x",
        "x" * 500,
        "good\0",
        "good..trunk",
        "/nowhere",
        "@{",
    ],
)
def test_what_is_no_revision_is_refused(checkout: Path, name: str) -> None:
    with pytest.raises(QuestionError) as refused:
        load_revision(name, checkout)
    assert refused.value.fix


def test_a_revision_without_tables_is_refused(checkout: Path) -> None:
    with pytest.raises(QuestionError, match="no folder kb/tables"):
        load_revision("no-tables", checkout)


def test_missing_git_is_said(checkout: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "")
    with pytest.raises(QuestionError, match="git is not installed"):
        load_revision("good", checkout)


def test_a_folder_outside_any_checkout_is_said(tmp_path: Path) -> None:
    with pytest.raises(QuestionError):
        load_revision("good", tmp_path)


def test_a_work_tree_with_faults_is_refused_with_all_of_them(tmp_path: Path) -> None:
    folder = tmp_path / "tables"
    shutil.copytree(TABLES_FOLDER, folder)
    (folder / "limits.csv").unlink()
    with pytest.raises(TablesRefusedError):
        load_work_tree(folder)
