"""Formulas: each has a function, a worked example that gives what the table says, and an id that answers name."""

from __future__ import annotations

import dataclasses
import inspect
import re
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from api.http.openapi.examples import examples
from kb.formulas.registry import FORMULAS
from kb.knowledge_base import KnowledgeBase
from kb.load import TABLES_FOLDER
from kb.store.examples import EXAMPLES_FOLDER
from kb.store.snapshot import Snapshot
from schemas.questions.choices import Section
from schemas.questions.loop import LoopQuestion
from schemas.tables.formulas import Formula
from schemas.tables.quantities import Quantity

ROOT = Path(__file__).resolve().parents[3]
LOOPS = sorted(EXAMPLES_FOLDER.glob("*.json"))
PYTHON_PATH = re.compile(r"\b(kb|api|schemas)\.[a-z_]+")
NUMBER = r"-?[0-9]+(?:\.[0-9]+)?"
ROWS = (
    "kb.store.snapshot",
    "kb.load",
    "kb.store.typed_rows",
    "kb.evidence.tree",
    "kb.evidence.limits",
    "kb.evidence.rules",
    "duckdb",
    "pandas",
)


@pytest.fixture
def rows(snapshot: Snapshot) -> Mapping[str, Formula]:
    return {row.id: row for row in snapshot.active(Formula)}


def inputs_and_result(example: str) -> tuple[list[float], str]:
    """Return the named numbers a worked example puts in, and the printed result."""
    before, _, after = example.rpartition(" gives ")
    return [float(text) for text in re.findall(rf"\w+ = ({NUMBER})(?![\w-])", before)], after.rpartition(" = ")[2]


def numbers_in(arguments: Any) -> Iterator[float]:
    if isinstance(arguments, int | float):
        yield float(arguments)
    elif isinstance(arguments, Mapping):
        yield from (number for one in arguments.values() for number in numbers_in(one))
    elif isinstance(arguments, tuple | list):
        yield from (number for one in arguments for number in numbers_in(one))
    elif dataclasses.is_dataclass(arguments):
        members = (getattr(arguments, field.name) for field in dataclasses.fields(arguments))
        yield from (number for member in members for number in numbers_in(member))


@pytest.mark.parametrize("formula", FORMULAS)
def test_the_worked_example_gives_the_printed_result(formula: str, rows: Mapping[str, Formula]) -> None:
    """To half of the last printed digit."""
    _, printed = inputs_and_result(rows[formula].example)
    digits = len(printed.partition(".")[2])
    assert FORMULAS[formula].worked_example() == pytest.approx(float(printed), abs=0.5000001 * 10**-digits, rel=0)


@pytest.mark.parametrize("formula", FORMULAS)
def test_the_worked_example_puts_in_what_the_table_says(formula: str, rows: Mapping[str, Formula]) -> None:
    """The numbers named in the table stand among the arguments, in their order."""
    named, _ = inputs_and_result(rows[formula].example)
    if formula not in ("formula/count", "formula/differing"):  # of things and names, not of numbers
        given_numbers = numbers_in(FORMULAS[formula].arguments)
        assert all(number in given_numbers for number in named), rows[formula].example


@pytest.mark.parametrize("formula", FORMULAS)
def test_a_formula_is_reported_in_full(formula: str) -> None:
    words = inspect.getdoc(FORMULAS[formula].function) or ""
    assert re.search(r"\[[^\]]+\]|in the unit|in their unit|as it was stated", words), "no unit"
    assert "Source" in words or "source" in words, "no source"
    if len(inspect.signature(FORMULAS[formula].function).parameters) > 0:
        assert "Args" in words


@pytest.mark.parametrize("formula", FORMULAS)
def test_a_formula_knows_no_rows(formula: str) -> None:
    """Numbers in, numbers out: what a file of formulas imports cannot find rows."""
    module = sys.modules[FORMULAS[formula].function.__module__]
    imported = {getattr(member, "__module__", None) for member in vars(module).values()} | set(vars(module))
    assert imported.isdisjoint(ROWS)


def test_the_same_example_gives_the_same_number_twice() -> None:
    for formula, registered in FORMULAS.items():
        assert registered.worked_example() == registered.worked_example(), formula


def test_every_computed_quantity_names_a_formula_that_stands(snapshot: Snapshot) -> None:
    active = {row.id for row in snapshot.active(Formula)}
    assert {row.formula_id for row in snapshot.active(Quantity)} <= active


def named_formulas(answer: Any) -> Iterator[str]:
    """Yield every formula that an answer names, wherever."""
    if isinstance(answer, Mapping):
        if isinstance(answer.get("formula"), str):
            yield answer["formula"]
        yield from (one for value in answer.values() for one in named_formulas(value))
    elif isinstance(answer, list | tuple):
        yield from (one for value in answer for one in named_formulas(value))


def assert_names_formulas_by_id(base: KnowledgeBase, answer: Any) -> int:
    reported = answer.to_dict()
    assert PYTHON_PATH.search(answer.to_json()) is None
    named = list(named_formulas(reported))
    for formula in named:
        assert isinstance(base.snapshot.row(formula), Formula), formula
    return len(named)


@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_answers_to_pairs_name_formulas_by_id(base: KnowledgeBase, data: st.DataObject) -> None:
    ids = base.snapshot.ids()
    a, b = (data.draw(st.sampled_from(ids)) for _ in range(2))
    assert_names_formulas_by_id(base, base.pair(a, b))


@pytest.mark.parametrize("path", LOOPS, ids=lambda path: path.stem)
def test_answers_to_loops_name_formulas_by_id(base: KnowledgeBase, path: Path) -> None:
    question = LoopQuestion.model_validate_json(path.read_text("utf-8"))
    answer = base.loop(question.model_copy(update={"sections": tuple(Section)}))
    assert assert_names_formulas_by_id(base, answer) > 0


@pytest.mark.parametrize("example", examples(), ids=lambda one: one.operation_id)
def test_answers_to_every_other_question_name_formulas_by_id(base: KnowledgeBase, example: Any) -> None:
    assert_names_formulas_by_id(base, example.answer(base))


def test_a_mixture_names_its_formula(base: KnowledgeBase) -> None:
    answer = base.mix("ethylene-glycol", 1, 3)
    assert set(named_formulas(answer.to_dict())) == {"formula/glycol-share-by-volume"}


def test_no_cell_of_any_table_names_a_python_path() -> None:
    for path in sorted(TABLES_FOLDER.glob("*.csv")):
        assert PYTHON_PATH.search(path.read_text("utf-8")) is None, path.name


def test_a_formula_is_shown_like_any_row(base: KnowledgeBase) -> None:
    record = base.record("formula/o-ring-compression")
    assert record.record.values["equation"] == "s = (w - t) / w * 100; t = (D - d) / 2"
    assert record.source is not None
    page = base.records("formulas", limit=200)
    assert {one.id for one in page.records} == set(FORMULAS)
