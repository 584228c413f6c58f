"""What README.md shows is what happens: its commands, its python, its JSON, its figures.

Every command is carried out, those in running text included, or stands in NOT_CARRIED_OUT with the reason. What README
shows of the running service is tried in `client/test_readme_over_http.py`, what needs no checkout once more in
`test_wheel.py`.
"""

from __future__ import annotations

import contextlib
import io
import json
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from environment import RUN, Environment, purposes_served
from page_examples import Command
from pydantic import BaseModel, ValidationError
from readme_commands import (
    CODES,
    IN_BASH,
    NOT_CARRIED_OUT,
    PAGE,
    PAIRS,
    PAIRS_FILE,
    README,
    RELEASE_FOLDER,
    ROOT,
    SET_UP,
    TRIALS,
    VERDICTS_FILE,
    WETTED,
    first_answer,
    right_code,
)
from wetted_program import Wetted, assert_printed, surroundings, wetted_program

from api.cli import exit_codes
from kb.curation.release.build import build_release
from kb.load import TABLES_FOLDER, load_tables
from schemas.questions import loop as loop_questions
from schemas.verdict import Verdict


@pytest.fixture(scope="module")
def places(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Return what stands for the files and folders that README leaves to the reader."""
    folder = tmp_path_factory.mktemp("readme")
    build_release(folder / "release", load_tables(), TABLES_FOLDER)
    (folder / PAIRS_FILE).write_text(PAIRS)
    return {
        RELEASE_FOLDER: str(folder / "release"),
        PAIRS_FILE: str(folder / PAIRS_FILE),
        VERDICTS_FILE: str(folder / VERDICTS_FILE),
    }


@pytest.fixture(scope="module")
def wetted() -> Iterator[Wetted]:
    with wetted_program(ROOT, surroundings()) as call:
        yield call


@pytest.mark.parametrize("command", WETTED, ids=lambda one: one.text)
def test_commands_end_and_print_as_the_readme_shows(command: Command, wetted: Wetted, places: dict[str, str]) -> None:
    done = wetted([places.get(word, word) for word in command.words[1:]])
    assert done.code == right_code(command), done.err
    assert "nearest" not in done.err
    assert_printed(command.promised, done.out, command.text)


def test_every_command_is_carried_out_somewhere_or_listed_with_the_reason() -> None:
    commands = {command.text: command for command in PAGE.commands()}
    assert len(commands) > 30, "the commands are no longer found"
    assert NOT_CARRIED_OUT.keys() | CODES.keys() <= commands.keys(), "what README no longer shows"
    seen = {*NOT_CARRIED_OUT, *(command.text for command in (*TRIALS, *SET_UP, *WETTED))}
    left = [command for text, command in commands.items() if text not in seen]
    assert {command.words[0] for command in left} == {*IN_BASH}


def test_a_line_that_shows_a_command_is_seen_wherever_it_stands() -> None:
    shown = [dimension for dimension in PAGE.dimensions() if "wetted " in dimension]
    assert [dimension for dimension in shown if dimension not in {one.text for one in PAGE.commands()}] == []


@pytest.mark.parametrize("command", SET_UP, ids=lambda one: one.text)
def test_the_set_up_command_answers(command: Command) -> None:
    if RUN.name not in purposes_served(Environment(ROOT), [RUN]):
        pytest.skip("the environment of this checkout is not current; making it anew is not for a test in it")
    run = subprocess.run(
        [sys.executable, *command.words[1:]], cwd=ROOT, env=surroundings(), capture_output=True, text=True, check=False
    )
    assert run.returncode == right_code(command), run.stderr
    if command.words[2:] == []:
        assert run.stdout.splitlines()[-1].endswith(". .venv/bin/activate")


@pytest.mark.skipif(shutil.which("bash") is None or not (ROOT / ".venv/bin/activate").exists(), reason="no .venv here")
def test_wetted_as_the_readme_types_it_is_that_of_the_checkout() -> None:
    [lines] = [text for text in PAGE.texts("bash") if "activate" in text]
    script = f"set -eu\n{lines}\ncommand -v wetted\ncomplete -p wetted"
    bare = surroundings(PATH="/usr/bin:/bin")
    done = subprocess.run(["bash", "-c", script], cwd=ROOT, env=bare, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    version, found, completion = done.stdout.splitlines()
    assert re.fullmatch(r"wetted [\d.]+, tables [\d.]+", version)
    assert Path(found) == ROOT / ".venv/bin/wetted"
    assert "wetted" in completion


@pytest.mark.parametrize("command", TRIALS, ids=lambda one: one.text)
def test_scripts_and_their_options_exist(command: Command) -> None:
    script = next(word for word in command.words if word.startswith("scripts/"))
    source = (ROOT / script).read_text(encoding="utf-8")
    for word in command.words[command.words.index(script) + 1 :]:
        assert f'"{word}"' in source or re.fullmatch(r"\d+", word), f"{script} knows no {word}"


def test_python_prints_what_the_readme_shows() -> None:
    code = PAGE.texts("python")[0]
    names: dict[str, Any] = {}
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        exec(compile(code, "README.md", "exec"), names)
    assert printed.getvalue() == first_answer()
    [decided] = [dimension for dimension in PAGE.dimensions() if dimension.startswith("base.")]
    assert eval(decided, names) in set(Verdict)


def models_of_loops() -> list[type[BaseModel]]:
    """Return every model that a loop is made of."""
    found = (one for one in vars(loop_questions).values() if isinstance(one, type) and issubclass(one, BaseModel))
    return [one for one in found if one.__module__ == loop_questions.__name__]


def takes(model: type[BaseModel], name: str, value: Any) -> bool:
    """Tell whether a model has a field that takes a value, whatever else it asks for."""
    try:
        model.model_validate({name: value})
    except ValidationError as error:
        return name in model.model_fields and all(name not in one["loc"] for one in error.errors())
    return True


@pytest.mark.parametrize("fragment", [dimension for dimension in PAGE.dimensions() if re.match(r'"\w+": ', dimension)])
def test_fields_of_a_loop_take_what_the_readme_writes(fragment: str) -> None:
    [(name, value)] = json.loads(f"{{{fragment}}}").items()
    assert any(takes(model, name, value) for model in models_of_loops())


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
