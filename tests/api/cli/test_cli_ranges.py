"""Figures out of nature on the command line: exit code 2 and one line that names field, value and range."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path

import pytest

from kb import KnowledgeBase
from schemas.tables.quantities import Quantity

PAIR = ("pair", "metal/copper", "fluid/distilled-water")


def stated(name: str, value: float) -> tuple[str, str]:
    return "--condition", f"{name.removeprefix('quantity/')}={value!r}"


def test_a_condition_outside_its_range_ends_in_code_2_and_says_field_value_and_range(
    wetted: Callable, knowledge: KnowledgeBase
) -> None:
    """Every quantity, just below least and just above most."""
    for quantity in knowledge.snapshot.active(Quantity):
        for value in (math.nextafter(quantity.least, -math.inf), math.nextafter(quantity.most, math.inf)):
            reported = wetted(*PAIR, *stated(quantity.id, value))
            assert (reported.code, reported.out) == (2, "")
            field = f"conditions.{quantity.id.removeprefix('quantity/')}"
            assert reported.err == (
                f"wetted: {field}: {quantity.complaint(value)}, the range of {quantity.title}; "
                f"give a number from {quantity.range_in_words}\n"
            )


@pytest.mark.parametrize("end", ["least", "most"])
def test_least_and_most_themselves_are_accepted(wetted: Callable, knowledge: KnowledgeBase, end: str) -> None:
    quantities = knowledge.snapshot.active(Quantity)
    conditions = [word for one in quantities for word in stated(one.id, getattr(one, end))]
    assert wetted(*PAIR, *conditions).code != 2


@pytest.mark.parametrize("number", ["nan", "inf", "-inf", "1e999", "4_5", "٤٥", "", "45 "])
def test_what_is_no_plain_number_is_refused(wetted: Callable, number: str) -> None:
    assert wetted(*PAIR, "--condition", f"coolant-temperature={number}").code == 2


@pytest.mark.parametrize("command", [PAIR, ("fluids", "metal/copper"), ("materials", "fluid/distilled-water")])
def test_coolant_below_absolute_zero_is_refused(wetted: Callable, command: tuple[str, ...]) -> None:
    """The known case: it was compatible."""
    assert wetted(*command, "--condition", "coolant-temperature=-300").code == 2


@pytest.mark.parametrize(
    ("change", "field"),
    [({"air_c": -300}, "air_c"), ({"conditions": {"ph": 15}}, "conditions.ph"), ({"air_c": "600 degF"}, "air_c")],
)
def test_a_loop_with_a_figure_out_of_nature_is_refused(
    wetted: Callable, tmp_path: Path, change: dict[str, object], field: str
) -> None:
    loop = {"parts": {"res": {"kind": "reservoir", "is": "reservoir/tube-150"}}, **change}
    (tmp_path / "loop.json").write_text(json.dumps(loop))
    reported = wetted("loop", str(tmp_path / "loop.json"))
    assert reported.code == 2
    assert reported.err.startswith(f"wetted: {field}: ")
    assert "lies outside" in reported.err
