"""Figures out of nature: whatever a question states lies within the range of its quantity, or the question is refused.

The ranges are rows (`kb/tables/quantities.csv`); these tests hold for any rows. Values of tables are held against them
by a check of the tables (`tests/checks/test_values_in_range.py`).
"""

from __future__ import annotations

import json
import math
import typing
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from figure_questions import INLINE, LOOP, with_figure
from pydantic import BaseModel, TypeAdapter, ValidationError

from kb.knowledge_base import KnowledgeBase
from kb.parts.ranges import describe_ranges
from kb.parts.resolver import Resolver
from kb.store.faults import QuestionError
from kb.store.snapshot import Snapshot
from schemas.columns.figures import Figure, Stated, stated_figures
from schemas.questions import loop as loop_questions
from schemas.questions import questions
from schemas.questions.loop import LoopQuestion
from schemas.questions.questions import (
    INLINE_KINDS,
    Asked,
    PairQuestion,
    PartRef,
)
from schemas.tables.quantities import Quantity

REFERENCE: TypeAdapter[Any] = TypeAdapter(PartRef)
NO_NUMBERS = (math.nan, math.inf, -math.inf)
WITHOUT_ROW = {"concentrate_parts", "water_parts", "concentrate_glycol_percent", "temperature_c"}  # of MixQuestion
DIVIDED_BY = (
    *("dimension", "fan-flow-max", "fan-pressure-max", "fan-speed-max", "fin-density", "open-share", "run-length"),
    *("stated-flow", "stated-pressure", "thermal-resistance", "threads-per-inch", "wetted-area", "clogged-times"),
)


def outside(quantity: Quantity) -> tuple[float, float]:
    return math.nextafter(quantity.least, -math.inf), math.nextafter(quantity.most, math.inf)


def name(quantity: Quantity) -> str:
    return quantity.id.removeprefix("quantity/")


ASKS: dict[str, Callable[[KnowledgeBase, dict[str, float]], object]] = {
    "decide": lambda base, stated: base.decide("metal/copper", "fluid/distilled-water", stated),
    "pair": lambda base, stated: base.decide_question(
        PairQuestion(a="metal/copper", b="fluid/distilled-water", conditions=stated)
    ),
    "fluids": lambda base, stated: base.fluids(("metal/copper",), conditions=stated, limit=1),
    "materials": lambda base, stated: base.materials(
        "fluid/distilled-water", family="family/copper-alloy", conditions=stated
    ),
    "matrix": lambda base, stated: base.matrix("family/copper-alloy", "family/water", conditions=stated),
    "loop": lambda base, stated: base.loop(
        {"parts": {"res": {"kind": "reservoir", "is": "reservoir/tube-150"}}, "conditions": stated}
    ),
    "properties of a fluid": lambda base, stated: base.decide_question(
        PairQuestion.model_validate({"a": {"is": "fluid/distilled-water", "properties": stated}, "b": "metal/copper"})
    ),
}


@pytest.mark.parametrize("asked", ASKS)
def test_a_condition_outside_the_range_of_its_quantity_is_refused_in_every_question(
    base: KnowledgeBase, asked: str
) -> None:
    """Every quantity, just below least and just above most."""
    for quantity in base.snapshot.active(Quantity):
        for value in outside(quantity):
            with pytest.raises(QuestionError) as refused:
                ASKS[asked](base, {name(quantity): value})
            assert refused.value.field.endswith(f".{name(quantity)}")
            assert refused.value.what == f"{quantity.complaint(value)}, the range of {quantity.title}"
            assert refused.value.fix == f"give a number from {quantity.range_in_words}"


@pytest.mark.parametrize("asked", ASKS)
def test_least_and_most_themselves_are_accepted(base: KnowledgeBase, asked: str) -> None:
    quantities = base.snapshot.active(Quantity)
    ASKS[asked](base, {name(quantity): quantity.least for quantity in quantities})
    ASKS[asked](base, {name(quantity): quantity.most for quantity in quantities})


@pytest.mark.parametrize("asked", ASKS)
@pytest.mark.parametrize("value", NO_NUMBERS)
def test_what_is_no_finite_number_is_refused(base: KnowledgeBase, asked: str, value: float) -> None:
    with pytest.raises((QuestionError, ValidationError)):
        ASKS[asked](base, {"coolant-temperature": value})


def test_coolant_below_absolute_zero_is_refused(base: KnowledgeBase) -> None:
    """The known case: it was compatible."""
    with pytest.raises(QuestionError, match="-300 lies outside -100 to 300 degC"):
        base.decide("tube/soft-10x16", "fitting/barb-10-g-1-4", {"coolant-temperature": -300})


def figures_of_questions() -> Iterator[tuple[dict[str, Any], Stated]]:
    yield from ((LOOP, figure) for figure in stated_figures(LoopQuestion.model_validate(LOOP)))
    for part in INLINE.values():
        asked = {"a": part, "b": "thread/g-1-4"}
        yield from ((asked, figure) for figure in stated_figures(PairQuestion.model_validate(asked)))


def once_a_field(figures: Iterator[tuple[dict[str, Any], Stated]]) -> tuple[tuple[dict[str, Any], Stated], ...]:
    """Return one place of every field: seven runs say no more than one."""
    first: dict[tuple[str, str, bool], tuple[dict[str, Any], Stated]] = {}
    for question, figure in figures:
        first.setdefault((figure.path.rpartition(".")[2], figure.quantity, question is LOOP), (question, figure))
    return tuple(first.values())


FIGURES = once_a_field(figures_of_questions())


def ask(base: KnowledgeBase, question: dict[str, Any]) -> object:
    if "parts" in question:
        return base.loop(question)
    return base.decide_question(PairQuestion.model_validate(question))


def test_a_figure_outside_the_range_of_its_quantity_is_refused_at_its_field(base: KnowledgeBase) -> None:
    """Every field of loops and of parts typed by their spec sheet that takes a figure."""
    for question, figure in FIGURES:
        quantity = base.snapshot.get(Quantity, f"quantity/{figure.quantity}")
        for value in outside(quantity):
            with pytest.raises(QuestionError) as refused:
                ask(base, with_figure(question, figure.path, value))
            assert refused.value.field == figure.path
            assert quantity.complaint(value) in refused.value.what
        for value in NO_NUMBERS:
            with pytest.raises(ValidationError):
                ask(base, with_figure(question, figure.path, value))


def test_a_figure_at_either_end_of_its_range_is_never_called_out_of_range(base: KnowledgeBase) -> None:
    """It may be refused for what it makes of the part, such as a tube without a wall, but not crash."""
    for question, figure in FIGURES:
        quantity = base.snapshot.get(Quantity, f"quantity/{figure.quantity}")
        for value in (quantity.least, quantity.most):
            try:
                ask(base, with_figure(question, figure.path, value))
            except QuestionError as refused:
                assert "lies outside" not in refused.what, (figure.path, value)


def models() -> set[type[BaseModel]]:
    found = [one for module in (questions, loop_questions) for one in vars(module).values()]
    return {one for one in found if isinstance(one, type) and issubclass(one, Asked)}


def marks(hint: Any) -> Iterator[Any]:
    for one in (*typing.get_args(hint), *getattr(hint, "__metadata__", ())):
        yield one
        yield from marks(one)


def test_every_number_of_a_question_is_of_a_quantity() -> None:
    """Whole numbers count things; of the others only those of a mixture have no row: they bound its arithmetic."""
    for model in models():
        for field, hint in typing.get_type_hints(model, include_extras=True).items():
            found = list(marks(hint))
            if (float in found or hint is float) and "Mapping" not in str(hint) and not is_conditions(hint):
                assert any(isinstance(one, Figure) for one in found) or field in WITHOUT_ROW, (model, field)


def is_conditions(hint: Any) -> bool:
    return hint == questions.Conditions


def test_every_field_that_takes_a_figure_is_tried_above() -> None:
    tried = {(figure.path.rpartition(".")[2]) for _, figure in FIGURES} | {"areas_cm2", "curve", "air_from"}
    for model in models():
        for field, hint in typing.get_type_hints(model, include_extras=True).items():
            if any(isinstance(one, Figure) for one in marks(hint)):
                assert field in tried, (model, field)
    assert set(INLINE) == set(INLINE_KINDS) - {"fluid"}


def test_every_figure_names_a_quantity_of_the_tables(snapshot: Snapshot) -> None:
    assert {figure.quantity for _, figure in FIGURES} <= {name(one) for one in snapshot.active(Quantity)}


@pytest.mark.parametrize("quantity", DIVIDED_BY)
def test_what_computations_divide_by_stays_above_zero(snapshot: Snapshot, quantity: str) -> None:
    assert snapshot.get(Quantity, f"quantity/{quantity}").least > 0


def test_a_reference_in_a_loop_is_refused_at_its_own_place(base: KnowledgeBase) -> None:
    question = with_figure(LOOP, "runs.2.tube", {"kind": "tube", "id_mm": 10, "od_mm": 2000})  # type: ignore[arg-type]
    with pytest.raises(QuestionError) as refused:
        ask(base, question)
    assert refused.value.field == "runs.2.tube.od_mm"


def test_lengths_with_units_are_held_against_the_range_too(base: KnowledgeBase) -> None:
    part = REFERENCE.validate_python({"kind": "tube", "od": "90 in", "id": "1 in"})
    with pytest.raises(QuestionError, match="2286 lies outside"):
        Resolver(base.snapshot).part(part, "a")


def test_generated_schemas_report_the_ranges_of_the_rows(snapshot: Snapshot) -> None:
    schema = LoopQuestion.model_json_schema()
    describe_ranges(schema, snapshot.active(Quantity))
    air, quantity = schema["properties"]["air_c"]["anyOf"][0], snapshot.get(Quantity, "quantity/air-temperature")
    assert (air["minimum"], air["maximum"]) == (quantity.least, quantity.most)
    assert '"x-quantity": "curve-head", "minimum"' in json.dumps(schema)
