"""The mutation trial changes what judges, one thing at a time, and nothing else."""

from __future__ import annotations

import ast
import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).parents[2]
SOURCE = '''"""A docstring with 1 < 2 and all of it."""

LEAST = 1e-9
WORDS: dict[str, int] = {"a": 1}


def holds(value: float, limits: list[float], strict: bool = False) -> bool:
    """Return whether all hold: value < limit."""
    if strict and not limits:
        return value is not None
    return all(value - LEAST <= one for one in limits) or max(limits) > 0.5
'''


@pytest.fixture(scope="module")
def mutate() -> ModuleType:
    spec = importlib.util.spec_from_file_location("mutate", ROOT / "scripts" / "trials" / "mutate.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["mutate"] = module
    spec.loader.exec_module(module)
    return module


def test_every_kind_of_slip_is_made(mutate: ModuleType) -> None:
    made = {(one.was, one.now) for one in mutate.mutants_of("here.py", SOURCE)}
    wanted = {
        ("1e-9", "1.01e-09"),
        ("False", "True"),
        ("strict and not limits", "strict or not limits"),
        ("not limits", "limits"),
        ("value is not None", "value is None"),
        ("value - LEAST <= one", "value - LEAST < one"),
        ("value - LEAST <= one", "value - LEAST > one"),
        ("value - LEAST", "value + LEAST"),
        ("max(limits)", "min(limits)"),
        ("max(limits) > 0.5", "max(limits) >= 0.5"),
        ("0.5", "0.505"),
    }
    assert wanted <= made
    assert any(now.startswith("any(") for _, now in made)


def test_every_mutant_is_a_program_that_differs_in_one_place(mutate: ModuleType) -> None:
    mutants = mutate.mutants_of("here.py", SOURCE)
    texts = [one.text for one in mutants]
    assert len(set(texts)) == len(texts) > 10
    for one in mutants:
        assert ast.dump(ast.parse(one.text)) != ast.dump(ast.parse(SOURCE)), str(one)
        changed = [
            at
            for at, (old, new) in enumerate(zip(SOURCE.splitlines(), one.text.splitlines(), strict=True), 1)
            if old != new
        ]
        assert changed == [one.line], str(one)


def test_docstrings_and_types_are_left_alone(mutate: ModuleType) -> None:
    for one in mutate.mutants_of("here.py", SOURCE):
        assert '"""A docstring with 1 < 2 and all of it."""' in one.text
        assert "dict[str, int]" in one.text and "-> bool:" in one.text


def test_every_reason_on_file_is_for_a_mutation_that_can_still_be_made(mutate: ModuleType) -> None:
    for path, was, now in mutate.reasons():
        made = {(one.was, one.now) for one in mutate.mutants_of(path, (ROOT / path).read_text(encoding="utf-8"))}
        assert (was, now) in made, f"{path}: {was} -> {now} is not made any more; delete its reason"
