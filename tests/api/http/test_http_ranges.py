"""Figures out of nature over HTTP: refused by address, in a body, in a batch and in a loop, at their field."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from starlette.testclient import TestClient

from kb import KnowledgeBase
from schemas.tables.quantities import Quantity

PAIR = {"a": "metal/copper", "b": "fluid/distilled-water"}
LINES = {"Content-Type": "application/x-ndjson"}


@pytest.fixture(scope="module")
def quantities(base: KnowledgeBase) -> dict[str, Quantity]:
    return {one.id.removeprefix("quantity/"): one for one in base.snapshot.active(Quantity)}


def outside(quantity: Quantity) -> tuple[float, float]:
    return math.nextafter(quantity.least, -math.inf), math.nextafter(quantity.most, math.inf)


def test_a_condition_outside_its_range_is_refused_by_address_and_in_a_body(
    client: TestClient, quantities: dict[str, Quantity]
) -> None:
    """Every quantity, just below least and just above most."""
    for name, quantity in quantities.items():
        for value in outside(quantity):
            by_address = client.get("/v1/pair", params={**PAIR, f"condition.{name}": repr(value)})
            in_a_body = client.post("/v1/pair", json={**PAIR, "conditions": {name: value}})
            for response, field in ((by_address, f"condition.{name}"), (in_a_body, f"conditions.{name}")):
                assert response.status_code == 422
                problem = response.json()
                assert problem["type"] == "/problems/invalid-question"
                (error,) = problem["errors"]
                assert error["field"] == field
                assert quantity.complaint(value) in error["what"]
                assert error["fix"] == f"give a number from {quantity.range_in_words}"


@pytest.mark.parametrize("end", ["least", "most"])
def test_least_and_most_themselves_are_accepted(client: TestClient, quantities: dict[str, Quantity], end: str) -> None:
    stated = {name: getattr(quantity, end) for name, quantity in quantities.items()}
    assert client.post("/v1/pair", json={**PAIR, "conditions": stated}).status_code == 200
    for name, value in stated.items():
        assert client.get("/v1/pair", params={**PAIR, f"condition.{name}": repr(value)}).status_code == 200


def test_a_batch_refuses_what_a_single_question_refuses_and_answers_the_rest(
    client: TestClient, quantities: dict[str, Quantity]
) -> None:
    asked = [
        {**PAIR, "conditions": {name: value}}
        for name, quantity in quantities.items()
        for value in (*outside(quantity), quantity.least, quantity.most)
    ]
    content = "\n".join(map(json.dumps, asked)).encode()
    response = client.post("/v1/batch/pair", content=content, headers=LINES)
    reported = [json.loads(line) for line in response.text.splitlines()]
    assert len(reported) == len(asked)
    for at, (question, line) in enumerate(zip(asked, reported, strict=True)):
        assert ("lies outside" in json.dumps(line)) is (at % 4 < 2), (question, line)


@pytest.mark.parametrize("value", ["nan", "inf", "-inf", "1e999"])
def test_what_is_no_finite_number_is_refused(client: TestClient, value: str) -> None:
    assert client.get("/v1/pair", params={**PAIR, "condition.coolant-temperature": value}).status_code == 422
    body = json.dumps({**PAIR, "conditions": {"coolant-temperature": 0}}).replace(": 0}", f": {value}}}")
    response = client.post("/v1/pair", content=body, headers={"Content-Type": "application/json"})
    assert 400 <= response.status_code < 500


@pytest.mark.parametrize(
    ("path", "body", "field"),
    [
        ("/v1/loop", {"air_c": -300}, "air_c"),
        ("/v1/loop", {"parts": {"res": {"heat_w": 1e9, "kind": "block", "is": "block/memory"}}}, "parts.res.heat_w"),
        ("/v1/loop", {"conditions": {"coolant-temperature": -300}}, "conditions.coolant-temperature"),
        ("/v1/fluids", {"parts": ["metal/copper"], "conditions": {"ph": -1}}, "conditions.ph"),
        ("/v1/pair", {"a": {"kind": "tube", "od_mm": 2000}, "b": "thread/g-1-4"}, "a.od_mm"),
        ("/v1/between", {"a": {"kind": "tube", "od_mm": 0}, "b": "thread/g-1-4"}, "a.od_mm"),
        ("/v1/partners", {"part": {"kind": "seal", "section_mm": -1}}, "part.section_mm"),
    ],
)
def test_the_known_cases_are_refused_at_their_field(
    client: TestClient, path: str, body: dict[str, Any], field: str
) -> None:
    loop = {"parts": {"res": {"kind": "reservoir", "is": "reservoir/tube-150"}}} if path == "/v1/loop" else {}
    response = client.post(path, json={**loop, **body})
    assert response.status_code == 422
    assert [error["field"] for error in response.json()["errors"]] == [field]


def test_the_description_reports_the_ranges_of_the_rows(client: TestClient, quantities: dict[str, Quantity]) -> None:
    """Every number that names its quantity."""
    reported = list(numbers(client.get("/openapi.json").json()))
    assert {name for name, _ in reported} >= {"air-temperature", "heat-given-off", "dimension", "stated-flow"}
    for name, schema in reported:
        assert (schema["minimum"], schema["maximum"]) == (quantities[name].least, quantities[name].most)


def numbers(schema: Any) -> Any:
    if isinstance(schema, dict):
        if isinstance(name := schema.get("x-quantity"), str):
            yield name, schema
        schema = list(schema.values())
    if isinstance(schema, list):
        for one in schema:
            yield from numbers(one)
