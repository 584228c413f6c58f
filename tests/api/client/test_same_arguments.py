"""In process, over HTTP and awaited: one interface, the same names, arguments and defaults, the same refusals."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from typing import Any

import pytest
from pydantic_core import PydanticUndefined

from api.client import AsyncClient, Client, RefusedError
from kb import KnowledgeBase, QuestionError
from schemas.interface import Answers
from schemas.questions.questions import (
    Asked,
    BetweenQuestion,
    FindQuestion,
    MatrixQuestion,
    MixQuestion,
    PairQuestion,
    PartnersQuestion,
    SuitableFluidsQuestion,
    SuitableMaterialsQuestion,
)

METHODS = tuple(name for name in vars(Answers) if not name.startswith("_"))
ITERATING = "rows"
QUESTIONS: dict[str, type[Asked]] = {
    "pair": PairQuestion,
    "partners": PartnersQuestion,
    "between": BetweenQuestion,
    "find": FindQuestion,
    "fluids": SuitableFluidsQuestion,
    "materials": SuitableMaterialsQuestion,
    "matrix": MatrixQuestion,
    "mix": MixQuestion,
}
UNKNOWN: dict[str, Callable[[Answers], object]] = {
    "pair a": lambda asked: asked.pair("thread/g-1-5", "thread/g-1-4"),
    "pair b": lambda asked: asked.pair("thread/g-1-4", "thread/g-1-5"),
    "pair inline": lambda asked: asked.pair({"is": "tube/soft-10x17"}, "thread/g-1-4"),
    "pair conditions": lambda asked: asked.pair("thread/g-1-4", "thread/g-1-4", {"coolant-temperatur": 45}),
    "partners": lambda asked: asked.partners("tube/soft-10x17"),
    "between": lambda asked: asked.between("tube/soft-10x17", "thread/g-1-4"),
    "loop": lambda asked: asked.loop({"parts": {"res": {"kind": "reservoir", "is": "reservoir/tube-151"}}}),
    "fluids": lambda asked: asked.fluids(["metal/coper"]),
    "fluids additives": lambda asked: asked.fluids(["metal/copper"], additives=["additive/benzotriazol"]),
    "materials": lambda asked: asked.materials("fluid/distiled-water"),
    "matrix": lambda asked: asked.matrix("family/metals", "family/water"),
    "record": lambda asked: asked.record("thread/g-1-5"),
    "records": lambda asked: asked.records("tube"),
    "rows": lambda asked: list(asked.rows("tube")),
}
MALFORMED: dict[str, Callable[[Answers], object]] = {
    "pair": lambda asked: asked.pair(5, "thread/g-1-4"),  # type: ignore[arg-type]
    "pair conditions": lambda asked: asked.pair("thread/g-1-4", "thread/g-1-4", {"ph": "7"}),  # type: ignore[dict-item]
    "partners kind": lambda asked: asked.partners("thread/g-1-4", kind="hose"),  # type: ignore[arg-type]
    "partners verdicts": lambda asked: asked.partners("thread/g-1-4", verdicts=["yes"]),  # type: ignore[list-item]
    "partners limit": lambda asked: asked.partners("thread/g-1-4", limit=0),
    "between limit": lambda asked: asked.between("thread/g-1-4", "thread/g-1-4", limit=True),
    "find": lambda asked: asked.find(""),
    "loop": lambda asked: asked.loop({"parts": {}}),
    "fluids": lambda asked: asked.fluids("metal/copper"),
    "materials": lambda asked: asked.materials({"kind": "fluid", "colour": "red"}),
    "matrix": lambda asked: asked.matrix("", "family/water"),
    "mix": lambda asked: asked.mix("propylene-glycol", float("nan"), 1),
}


def shape(method: Callable[..., Any]) -> Mapping[str, tuple[Any, Any, Any]]:
    parameters = inspect.signature(method).parameters.values()
    return {one.name: (one.kind, one.default, one.annotation) for one in parameters}


def returned(method: Callable[..., Any]) -> str:
    return str(inspect.signature(method).return_annotation)


@pytest.mark.parametrize("name", METHODS)
@pytest.mark.parametrize("kind", [KnowledgeBase, Client, AsyncClient])
def test_all_take_the_same_arguments(kind: type, name: str) -> None:
    promised, kept = getattr(Answers, name), getattr(kind, name)
    assert list(shape(kept).items()) == list(shape(promised).items()), "names in their order, kinds, defaults, types"
    assert returned(kept).removeprefix("Async" if kind is AsyncClient and name == ITERATING else "") == returned(
        promised
    )


@pytest.mark.parametrize("name", METHODS)
def test_the_client_for_asyncio_is_awaited(name: str) -> None:
    method = getattr(AsyncClient, name)
    assert inspect.isasyncgenfunction(method) if name == ITERATING else inspect.iscoroutinefunction(method)


def test_a_client_asks_nothing_that_a_program_in_process_cannot() -> None:
    for kind in (Client, AsyncClient):
        others = {name for name in vars(kind) if not name.startswith("_")} - set(METHODS)
        assert others == {"batch", "close", "send"}


@pytest.mark.parametrize("name", QUESTIONS)
def test_what_is_left_out_is_what_the_question_takes_by_default(name: str) -> None:
    promised = shape(getattr(Answers, name))
    fields = QUESTIONS[name].model_fields
    assert set(promised) == {"self", *fields}
    for field, about in fields.items():
        default = promised[field][1]
        if about.is_required():
            assert default is inspect.Parameter.empty, field
        elif about.default is PydanticUndefined:
            assert default is None, f"{field}: nothing stated"
        else:
            assert default == about.default, field


@pytest.mark.parametrize("name", UNKNOWN)
def test_what_does_not_exist_is_refused_with_the_same_field_and_nearest(
    service: Client, base: KnowledgeBase, name: str
) -> None:
    with pytest.raises(QuestionError) as here:
        UNKNOWN[name](base)
    with pytest.raises(RefusedError) as there:
        UNKNOWN[name](service)
    (told,) = there.value.problem.errors
    assert (told.nearest, told.fix) == (here.value.nearest, here.value.fix)
    assert here.value.nearest, "all of these are close to something"
    assert told.field in (here.value.field, "kind", "slug", "table"), "an address has names of its own"


@pytest.mark.parametrize("name", MALFORMED)
def test_arguments_that_make_no_question_are_refused_before_anything_is_asked(
    service: Client, base: KnowledgeBase, name: str
) -> None:
    with pytest.raises(ValueError) as here:
        MALFORMED[name](base)
    with pytest.raises(ValueError) as there:
        MALFORMED[name](service)
    assert str(here.value) == str(there.value)


@pytest.mark.parametrize("table", ["tubes", "sources", "rules"])
def test_rows_are_all_rows_in_process_and_over_http(service: Client, base: KnowledgeBase, table: str) -> None:
    rows = list(base.rows(table))
    assert rows == list(service.rows(table))
    assert len(rows) == next(one.rows for one in base.tables().tables if one.table == table)
