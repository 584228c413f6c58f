"""What DEVELOPERS.md shows is what happens: its commands run in order, on a copy of the checkout."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from page_examples import Command, page
from wetted_program import Done, Wetted, assert_printed, surroundings, wetted_program

from api.cli.tables import tables

ROOT = Path(__file__).resolve().parents[2]
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
NEEDED = ("kb", "api", "schemas")
SESSION = page("DEVELOPERS.md").session()
GIT = ("git", "-c", "user.name=nobody", "-c", "user.email=nobody@example.invalid", "-c", "commit.gpgsign=false")


@pytest.fixture(scope="module")
def checkout(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("guide") / "checkout"
    for name in NEEDED:
        shutil.copytree(ROOT / name, folder / name)
    for arguments in (["init", "-q"], ["add", "kb/tables"], ["commit", "-q", "-m", "as it was"]):
        subprocess.run([*GIT, *arguments], cwd=folder, check=True, capture_output=True)
    return folder


@pytest.fixture(scope="module")
def wetted(checkout: Path) -> Iterator[Wetted]:
    """Start one program that carries out commands of the checkout, instead of one a command."""
    with wetted_program(checkout, surroundings(WETTED_CACHE_DIR=str(checkout.parent / "cache"))) as call:
        yield call


def run(command: Command, checkout: Path, wetted: Wetted) -> Done:
    program, *arguments = command.words
    if program == "wetted":
        return wetted(arguments)
    assert program == "git"
    done = subprocess.run([*GIT, *arguments], cwd=checkout, capture_output=True, text=True, check=False)
    return Done(done.returncode, done.stdout, done.stderr)


def test_the_commands_of_the_guide_do_what_it_shows_and_can_be_undone(checkout: Path, wetted: Wetted) -> None:
    before = {path.name: path.read_bytes() for path in (checkout / "kb/tables").iterdir()}
    for command in SESSION:
        done = run(command, checkout, wetted)
        assert done.code == command.code, f"{command.text}\n{done.err}"
        assert_printed(command.promised, done.out, command.text)
    assert {path.name: path.read_bytes() for path in (checkout / "kb/tables").iterdir()} == before


def test_the_guide_shows_a_tube_a_material_a_rule_and_a_source() -> None:
    commands = " ".join(command.text for command in SESSION)
    kinds = ("tube", "fitting", "material", "rule", "dispute")
    for shown in (*(f"tables new {kind}" for kind in kinds), "source.title", "tables diff", "git restore"):
        assert shown in commands


def test_the_guide_names_every_command_for_curators() -> None:
    for name in tables.commands:
        assert f"wetted tables {name}" in GUIDE
