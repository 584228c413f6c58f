"""Shells complete commands and options of `wetted`, and `--version` names program and tables at once."""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import click
import pytest

from api import __version__
from api.cli.main import COMPLETION_VARIABLE
from api.cli.main import wetted as wetted_command
from kb.knowledge_base import TABLES_VARIABLE
from kb.load import TABLES_FOLDER

CHECKOUT = Path(__file__).parents[3]
TABLES_VERSION = (TABLES_FOLDER / "VERSION").read_text(encoding="utf-8").strip()
IN_BASH = """
eval "$(_WETTED_COMPLETE=bash_source wetted)"
COMP_WORDS=({words}) COMP_CWORD={place}
_wetted_completion wetted
printf '%s\\n' "${{COMPREPLY[@]}}"
"""


def completed(wetted: Callable, monkeypatch: pytest.MonkeyPatch, *words: str) -> set[str]:
    """Return what a shell is reported could stand in the place of the last word."""
    monkeypatch.setenv(COMPLETION_VARIABLE, "bash_complete")
    monkeypatch.setenv("COMP_WORDS", " ".join(("wetted", *words)))
    monkeypatch.setenv("COMP_CWORD", str(len(words)))
    reported = wetted()
    assert (reported.code, reported.err) == (0, "")
    return {line.partition(",")[2] for line in reported.out.splitlines()}


def groups(group: click.Group, path: tuple[str, ...] = ()) -> dict[tuple[str, ...], click.Group]:
    inner = {name: one for name, one in group.commands.items() if isinstance(one, click.Group)}
    return {path: group} | {key: one for name, sub in inner.items() for key, one in groups(sub, (*path, name)).items()}


@pytest.mark.parametrize("path", groups(wetted_command))
def test_commands_are_completed(wetted: Callable, monkeypatch: pytest.MonkeyPatch, path: tuple[str, ...]) -> None:
    group = groups(wetted_command)[path]
    assert completed(wetted, monkeypatch, *path, "") == set(group.commands)
    for name, command in group.commands.items():
        if not isinstance(command, click.Group):
            options = {option for one in command.params for option in one.opts if option.startswith("--")}
            assert options <= completed(wetted, monkeypatch, *path, name, "--")


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_every_usual_shell_gets_its_script(wetted: Callable, monkeypatch: pytest.MonkeyPatch, shell: str) -> None:
    monkeypatch.setenv(COMPLETION_VARIABLE, f"{shell}_source")
    reported = wetted()
    assert reported.code == 0
    assert f"{COMPLETION_VARIABLE}={shell}_complete" in reported.out


@pytest.mark.skipif(shutil.which("bash") is None or sys.platform == "win32", reason="no bash here")
def test_bash_completes_what_is_typed() -> None:
    script = IN_BASH.format(words="wetted tables di", place=2)
    path = f"{Path(sys.executable).parent}:/usr/bin:/bin"
    done = subprocess.run(["bash", "-c", script], env={"PATH": path}, capture_output=True, text=True, check=False)
    assert (done.stdout, done.stderr) == ("diff\n", "")


@pytest.mark.parametrize("asked", ["bash", "bash_", "basch_source", "bash_complete", "1", "\x1b[2J"])
def test_what_no_shell_asks_is_reported_in_one_line(
    wetted: Callable, monkeypatch: pytest.MonkeyPatch, asked: str
) -> None:
    monkeypatch.setenv(COMPLETION_VARIABLE, asked)
    for name in ("COMP_WORDS", "COMP_CWORD"):
        monkeypatch.delenv(name, raising=False)
    reported = wetted("version")
    assert (reported.code, reported.out, reported.err.count("\n")) == (2, "", 1)
    assert "bash_source" in reported.err
    assert "\x1b" not in reported.err


def test_the_versions_of_program_and_tables_are_reported(wetted: Callable) -> None:
    assert wetted("--version") == (0, f"wetted {__version__}, tables {TABLES_VERSION}\n", "")


def test_the_version_is_that_of_the_tables_that_answer(
    wetted: Callable, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    other = shutil.copytree(TABLES_FOLDER, tmp_path / "tables")
    (other / "VERSION").write_text("2031.2.3\n")
    monkeypatch.setenv(TABLES_VARIABLE, str(other))
    assert wetted("--version").out == f"wetted {__version__}, tables 2031.2.3\n"
    (other / "VERSION").unlink()
    reported = wetted("--version")
    assert (reported.code, reported.out) == (3, "")
    assert "TAB-004" in reported.err
