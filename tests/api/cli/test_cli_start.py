"""The command line starts quickly, as nothing heavy is loaded before it is needed; its help says what matters."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import click
import pytest

from api.cli.exit_codes import MEANINGS, ExitCode
from api.cli.main import wetted as wetted_command

CHECKOUT = Path(__file__).parents[3]
HEAVY = ("duckdb", "pandas", "pandera", "fastapi", "starlette", "uvicorn", "numpy", "anyio", "CoolProp")
OF_OTHER_QUESTIONS = (
    "kb.bulk",
    "kb.checks",
    "kb.curation",
    "kb.loops.judge",
    "kb.parts.search",
    "kb.store.duckdb_file",
    "kb.store.typed_rows",
    "schemas.answers.fill",
    "schemas.answers.flow",
    "schemas.answers.heat",
    "schemas.answers.loop",
    "schemas.answers.space",
    "schemas.questions.loop",
    "schemas.questions.questions",
)


def loaded_by(*arguments: str) -> set[str]:
    """Return the modules that a command loads in a process of its own."""
    script = "import sys; from api.cli.main import main; main(sys.argv[1:]); sys.stderr.write(' '.join(sys.modules))"
    done = subprocess.run(
        [sys.executable, "-c", script, *arguments], capture_output=True, text=True, cwd=CHECKOUT, check=True
    )
    return set(done.stderr.split())


@pytest.mark.parametrize(
    "arguments",
    [
        ("pair", "thread/g-1-4", "thread/npt-1-4"),
        ("partners", "tube/soft-10x16"),
        ("between", "port/g-1-4-loop", "tube/soft-10x16"),
        ("find", "10/16"),
        ("pair", "metal/copper", "fluid/distilled-water"),
        ("fluids", "metal/copper"),
        ("materials", "fluid/distilled-water"),
        ("matrix", "family/elastomer", "family/oil"),
        ("matrix", "family/elastomer", "family/oil", "--csv"),
        ("show", "tube/soft-10x16"),
        ("list", "tubes"),
        ("version",),
    ],
)
def test_with_a_warm_cache_no_command_loads_what_only_others_need(arguments: tuple[str, ...]) -> None:
    assert loaded_by(*arguments).isdisjoint(HEAVY)


def test_a_loop_without_heat_loads_nothing_to_compute_it(tmp_path: Path) -> None:
    example = json.loads((CHECKOUT / "kb" / "examples" / "first-loop.json").read_text("utf-8"))
    cold = {name: {field: one[field] for field in one if field != "heat_w"} for name, one in example["parts"].items()}
    asked = tmp_path / "loop.json"
    asked.write_text(json.dumps({**example, "parts": cold}), "utf-8")
    loaded = loaded_by("loop", str(asked), "--section", "joints", "--section", "chemistry")
    assert loaded & {*HEAVY} == {"numpy"}  # for which way the coolant goes


@pytest.mark.parametrize("option", ["--help", "--version"])
def test_help_and_version_load_nothing_of_the_knowledge_base(option: str) -> None:
    assert loaded_by(option).isdisjoint({*HEAVY, "kb", "pydantic", "duckdb", "rich"})


@pytest.mark.parametrize("a", ["tube/soft-10x16", "metal/copper"])
@pytest.mark.parametrize("b", ["fitting/compression-10x16-g-1-4", "fluid/distilled-water"])
def test_a_pair_of_ids_loads_nothing_of_other_questions(a: str, b: str) -> None:
    assert loaded_by("pair", a, b).intersection(OF_OTHER_QUESTIONS) == set()


def test_json_needs_no_text_layout() -> None:
    assert "rich" not in loaded_by("pair", "thread/g-1-4", "thread/npt-1-4", "--json")


def _commands(group: click.Group, path: tuple[str, ...] = ()) -> list[tuple[str, ...]]:
    found: list[tuple[str, ...]] = []
    for name, command in group.commands.items():
        found += _commands(command, (*path, name)) if isinstance(command, click.Group) else [(*path, name)]
    return found


@pytest.mark.parametrize("command", [(), *_commands(wetted_command)])
def test_every_help_text_lists_every_exit_code(wetted: Callable, command: tuple[str, ...]) -> None:
    reported = wetted(*command, "--help")
    assert reported.code == 0
    for code, meaning in MEANINGS.items():
        assert f"{code.value}  {meaning}" in reported.out


def test_every_exit_code_has_a_meaning() -> None:
    assert set(MEANINGS) == set(ExitCode)


def test_every_help_text_fits_eighty_columns(wetted: Callable) -> None:
    for command in [(), *_commands(wetted_command)]:
        assert max(map(len, wetted(*command, "--help").out.splitlines())) <= 80


def test_every_command_that_answers_can_answer_in_json(wetted: Callable) -> None:
    for command in _commands(wetted_command):
        if command not in (("serve",), ("tables", "tidy"), ("bulk",)):
            assert "--json" in wetted(*command, "--help").out
