"""What README.md shows is what happens: its commands, its python, its figures."""

from __future__ import annotations

import contextlib
import io
import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from api.cli import exit_codes

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
ANSWERS = {0, 10, 11, 12}


def blocks(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", README, flags=re.MULTILINE | re.DOTALL)


def sessions() -> Iterator[tuple[str, list[str]]]:
    """Yield every command of the README with the lines it promises."""
    for block in blocks("console"):
        for part in block.split("$ wetted ")[1:]:
            command, *lines = part.splitlines()
            yield command, [line.strip() for line in lines if line.strip() and line.strip() != "..."]


@pytest.mark.parametrize(("command", "promised"), list(sessions()))
def test_commands_print_what_the_readme_shows(command: str, promised: list[str]) -> None:
    run = subprocess.run(
        [sys.executable, "-m", "api.cli.main", *shlex.split(command)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        cwd=ROOT,
        check=False,
    )
    assert run.returncode in ANSWERS, run.stderr
    printed = " ".join(run.stdout.split())
    place = 0
    for line in promised:
        place = printed.find(" ".join(line.split()), place)
        assert place >= 0, f"{line!r} is not printed, or not in this order:\n{run.stdout}"


def test_python_prints_what_the_readme_shows() -> None:
    code = blocks("python")[0]
    promised = re.findall(r"^prints\n```\n(.*?)^```", README, flags=re.MULTILINE | re.DOTALL)[0]
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        exec(compile(code, "README.md", "exec"), {})
    assert printed.getvalue() == promised


def test_figures_of_the_readme_are_current() -> None:
    run = subprocess.run(
        [sys.executable, "scripts/figures.py", "--check"], capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert run.returncode == 0, run.stdout


def test_exit_codes_of_the_readme_are_those_of_the_program() -> None:
    source = Path(exit_codes.__file__).read_text(encoding="utf-8")
    for code in re.findall(r"^\| ([0-9 /]+) \|", README, flags=re.MULTILINE):
        for number in code.split(" / "):
            assert re.search(rf"\b{number.strip()}\b", source), number
