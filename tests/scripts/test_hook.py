"""The hook checks what will be committed, holds up nothing else, and leaves hooks of others alone."""

from __future__ import annotations

import importlib
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
TUBE = b"soft tube 10 x 13 mm,10 x 13 mm,both,,10,,13,"
SPOILT = b'soft tube 10 x 13 mm,10 x 13 mm,both,,10,,"13,0",'


class Here:
    """Stands in for the environment of a checkout: this interpreter and this checkout's `wetted`."""

    def __init__(self, folder: Path) -> None:
        self.starter = folder / "wetted"
        self.starter.write_text(f'#!/bin/sh\ncd "{ROOT}" && exec "{sys.executable}" -m api.cli.main "$@"\n')
        self.starter.chmod(0o755)

    def program(self, _: str) -> Path:
        return self.starter


@pytest.fixture
def hook(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Any:
    for name in ("GIT_DIR", "GIT_INDEX_FILE", "GIT_WORK_TREE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.syspath_prepend(str(ROOT / "scripts"))
    module = importlib.import_module("hook")
    monkeypatch.setattr(module, "prepare", lambda _: Here(tmp_path))
    monkeypatch.setattr(module, "run_program", lambda command, _: subprocess.run(command, check=False).returncode)
    return module


@pytest.fixture
def checkout(hook: Any, tmp_path: Path) -> Path:
    folder = tmp_path / "a checkout"
    shutil.copytree(ROOT / "kb" / "tables", folder / "kb" / "tables")
    (folder / "readme").write_text("one\n")
    hook.git(folder, "init", "-q")
    hook.git(folder, "config", "core.autocrlf", "true")
    shutil.copy(ROOT / ".gitattributes", folder)
    hook.git(folder, "add", ".")
    commit(hook, folder)
    return folder


def commit(hook: Any, folder: Path) -> None:
    hook.git(folder, "-c", "user.name=a", "-c", "user.email=a@b.example", "commit", "-q", "-m", "change")


def spoil(folder: Path) -> None:
    table = folder / "kb" / "tables" / "tubes.csv"
    assert TUBE in table.read_bytes()
    table.write_bytes(table.read_bytes().replace(TUBE, SPOILT))


def test_a_commit_that_leaves_the_tables_alone_is_not_held_up(
    hook: Any, checkout: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (checkout / "readme").write_text("two\n")
    hook.git(checkout, "add", "readme")
    monkeypatch.setattr(hook, "prepare", lambda _: pytest.fail("nothing was to be prepared"))
    assert hook.check(checkout) == 0


def test_staged_faults_are_refused_even_if_the_work_tree_is_fixed(
    hook: Any, checkout: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    spoil(checkout)
    hook.git(checkout, "add", "kb")
    shutil.copytree(ROOT / "kb" / "tables", checkout / "kb" / "tables", dirs_exist_ok=True)
    assert hook.check(checkout) == 3
    reported = capfd.readouterr()
    assert reported.out.startswith("tubes.csv:")
    assert reported.err.rstrip().endswith("commit again")


def test_faults_of_the_work_tree_alone_do_not_count(hook: Any, checkout: Path) -> None:
    table = checkout / "kb" / "tables" / "tubes.csv"
    table.write_bytes(table.read_bytes().replace(b"true millimetres;", b"in true millimetres;"))
    hook.git(checkout, "add", "kb")
    spoil(checkout)
    assert hook.check(checkout) == 0


def test_untidy_tables_are_refused(hook: Any, checkout: Path, capfd: pytest.CaptureFixture[str]) -> None:
    table = checkout / "kb" / "tables" / "reservoirs.csv"
    table.write_bytes(table.read_bytes().replace(b",300,40,", b",300.0,40,"))
    hook.git(checkout, "add", "kb")
    assert hook.check(checkout) == 3
    assert "reservoirs.csv: would repair 1 cell" in capfd.readouterr().out


def test_the_hook_is_run_by_git(hook: Any, checkout: Path) -> None:
    assert hook.install(checkout).startswith("on: ")
    (checkout / "scripts").mkdir()
    (checkout / "scripts" / "hook.py").write_text("import sys; sys.exit('held up by ' + sys.argv[1])\n")
    (checkout / "readme").write_text("three\n")
    hook.git(checkout, "add", "readme")
    with pytest.raises(OSError, match="held up by check"):
        commit(hook, checkout)
    assert hook.remove(checkout).startswith("off: ")
    commit(hook, checkout)


def test_a_branch_without_the_script_is_not_held_up(hook: Any, checkout: Path) -> None:
    hook.install(checkout)
    (checkout / "readme").write_text("four\n")
    hook.git(checkout, "add", "readme")
    commit(hook, checkout)


def test_installing_twice_is_as_good_as_once(hook: Any, checkout: Path) -> None:
    assert hook.install(checkout) == hook.install(checkout)


def test_a_hook_of_others_is_left_alone(hook: Any, checkout: Path) -> None:
    path = hook.hook_path(checkout)
    path.parent.mkdir(exist_ok=True)
    path.write_text("#!/bin/sh\n")
    assert "is not ours" in hook.install(checkout)
    assert hook.remove(checkout) == "there is no hook of ours"
    assert path.read_text() == "#!/bin/sh\n"
