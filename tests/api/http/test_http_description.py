"""The description of the API is complete, and its examples are real."""

from __future__ import annotations

import json
from typing import Any

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from api.http.openapi.batch_description import SHOWN_REQUEST
from api.http.openapi.examples import examples
from api.http.openapi.openapi import describe
from api.http.problems.problem_kinds import PROBLEM_KINDS
from api.http.routes.batch import ASKINGS
from kb import KnowledgeBase

EXAMPLES = {example.operation_id: example for example in examples()}
BATCHES = {f"ask_{asking.word}_batch": asking for asking in ASKINGS}
OF_THE_MOMENT = {"read_readiness": ("since", "reloads", "refusals", "judging", "last_refused")}


@pytest.fixture(scope="module")
def described(client: TestClient) -> dict[str, Any]:
    described: dict[str, Any] = client.get("/openapi.json").json()
    return described


@pytest.fixture(scope="module")
def operations(described: dict[str, Any]) -> dict[str, tuple[str, str, dict[str, Any]]]:
    return {
        operation["operationId"]: (method, path, operation)
        for path, methods in described["paths"].items()
        for method, operation in methods.items()
    }


def test_every_operation_is_described(operations: dict[str, tuple[str, str, dict[str, Any]]]) -> None:
    for method, path, operation in operations.values():
        assert operation["summary"], (method, path)
        assert operation["description"], (method, path)
        assert len(operation["tags"]) == 1, (method, path)
        for parameter in operation.get("parameters", ()):
            assert parameter["description"], (method, path, parameter["name"])


def test_every_operation_has_an_example(operations: dict[str, Any]) -> None:
    assert set(EXAMPLES) | set(BATCHES) == set(operations)


def has_example(described: dict[str, Any]) -> bool:
    return "example" in described or any("value" in one for one in described.get("examples", {}).values())


def test_every_parameter_body_answer_and_problem_is_shown_by_example(operations: dict[str, Any]) -> None:
    without = []
    for operation_id, (_, _, operation) in operations.items():
        parts = {f"parameter {one['name']}": one for one in operation.get("parameters", ())}
        parts |= {f"body {form}": one for form, one in operation.get("requestBody", {}).get("content", {}).items()}
        for status, answer in operation["responses"].items():
            assert status == "304" or answer["content"], "all others have a body"
            parts |= {f"{status} {form}": one for form, one in answer.get("content", {}).items()}
        assert any(name.startswith("200 ") for name in parts), operation_id
        assert any("problem+json" in name for name in parts), operation_id
        without += [(operation_id, name) for name, one in parts.items() if not has_example(one)]
    assert without == []


@pytest.mark.parametrize("operation_id", EXAMPLES)
def test_a_described_example_is_answered_as_described(
    client: TestClient, operations: dict[str, tuple[str, str, dict[str, Any]]], operation_id: str
) -> None:
    method, path, operation = operations[operation_id]
    parameters = {one["name"]: one["example"] for one in operation.get("parameters", ()) if "example" in one}
    path = path.format(**parameters)
    query = {name: value for name, value in parameters.items() if f"{{{name}}}" not in operations[operation_id][1]}
    body = operation.get("requestBody", {}).get("content", {}).get("application/json", {}).get("example")
    response = client.request(method, path, params=query, json=body)
    assert response.status_code == 200, response.text
    reported, shown = response.json(), operation["responses"]["200"]["content"]["application/json"]["example"]
    assert set(reported) == set(shown)
    changing = OF_THE_MOMENT.get(operation_id, ())
    assert {name: reported[name] for name in reported if name not in changing} == {
        name: shown[name] for name in shown if name not in changing
    }


@pytest.mark.parametrize("operation_id", ["list_problems", "explain_problem"])
def test_a_described_page_is_the_page(client: TestClient, operations: dict[str, Any], operation_id: str) -> None:
    _, path, operation = operations[operation_id]
    page = client.get(path.format(slug="unknown-id"), headers={"accept": "text/html"})
    assert page.text == operation["responses"]["200"]["content"]["text/html"]["example"]


@pytest.mark.parametrize("operation_id", [name for name, one in EXAMPLES.items() if one.beside])
def test_what_parameters_may_be_beside_the_example_is_accepted(
    client: TestClient, operations: dict[str, Any], operation_id: str
) -> None:
    method, path, operation = operations[operation_id]
    example = EXAMPLES[operation_id]
    asked = {name: value for name, value in example.parameters.items() if f"{{{name}}}" not in path}
    for name, value in example.beside.items():
        query = {**asked, **(value if isinstance(value, dict) else {name: value})}
        address = path.format(**example.parameters)
        assert client.request(method, address, params=query, json=example.body and dict(example.body)).is_success
    assert {one["name"] for one in operation["parameters"]} >= set(example.beside)


@pytest.mark.parametrize("media_type", ["application/json", "application/x-ndjson"])
@pytest.mark.parametrize("operation_id", BATCHES)
def test_a_described_batch_is_answered_as_described(
    client: TestClient,
    operations: dict[str, tuple[str, str, dict[str, Any]]],
    operation_id: str,
    media_type: str,
) -> None:
    _, path, operation = operations[operation_id]
    example = operation["requestBody"]["content"][media_type]["example"]
    body = example if isinstance(example, str) else json.dumps(example)
    headers = {"content-type": media_type, "x-request-id": SHOWN_REQUEST}
    response = client.post(path, content=body, headers=headers)
    assert response.text == operation["responses"]["200"]["content"]["application/x-ndjson"]["example"]
    first, second = map(json.loads, response.text.splitlines())
    assert first["answer"]["kb_version"]
    assert second["problem"]["errors"]


@pytest.mark.parametrize("operation_id", ["ask_matrix", "read_matrix"])
def test_a_matrix_in_csv_is_answered_as_described(
    client: TestClient, operations: dict[str, tuple[str, str, dict[str, Any]]], operation_id: str
) -> None:
    method, path, operation = operations[operation_id]
    parameters = {one["name"]: one["example"] for one in operation["parameters"] if "example" in one}
    body = operation.get("requestBody", {}).get("content", {}).get("application/json", {}).get("example")
    response = client.request(method, path, params={**parameters, "format": "csv"}, json=body)
    assert response.text == operation["responses"]["200"]["content"]["text/csv"]["example"]


def test_examples_have_something_to_report(operations: dict[str, tuple[str, str, dict[str, Any]]]) -> None:
    reported = {
        operation_id: operation["responses"]["200"]["content"]["application/json"].get("example")
        for operation_id, (_, _, operation) in operations.items()
        if operation_id not in BATCHES
    }
    assert reported["ask_pair"]["findings"]
    assert reported["ask_partners"]["partners"]
    assert reported["ask_between"]["chains"]
    assert reported["ask_find"]["candidates"]
    assert reported["ask_loop"]["joints"]
    assert reported["ask_loop"]["chemistry"]["contacts"]
    assert reported["ask_fluids"]["suitable"]
    assert reported["ask_materials"]["suitable"]
    assert reported["ask_matrix"]["cells"]
    assert reported["ask_mix"]["findings"]
    assert reported["read_table"]["records"]


def test_every_refusal_is_described_as_a_problem_document(operations: dict[str, Any]) -> None:
    for _, path, operation in operations.values():
        refusals = {status: answer for status, answer in operation["responses"].items() if status >= "400"}
        assert {"400", "500"} <= set(refusals), path
        for answer in refusals.values():
            [(media_type, content)] = answer["content"].items()
            assert media_type == "application/problem+json"
            assert content["schema"] == {"$ref": "#/components/schemas/Problem"}


def test_every_type_of_problem_about_an_operation_is_named_in_some_answer(operations: dict[str, Any]) -> None:
    text = " ".join(
        answer["description"] for _, _, operation in operations.values() for answer in operation["responses"].values()
    )
    beyond_operations = {"not-found", "method-not-allowed"}
    assert {slug for slug in PROBLEM_KINDS if f"/problems/{slug}" in text} == set(PROBLEM_KINDS) - beyond_operations


def test_no_shape_of_error_but_ours_is_described(described: dict[str, Any]) -> None:
    assert not [name for name in described["components"]["schemas"] if "Validation" in name]


def test_every_reference_leads_somewhere(described: dict[str, Any]) -> None:
    schemas = described["components"]["schemas"]

    def references(node: Any) -> set[str]:
        if isinstance(node, dict):
            own = {node["$ref"]} if isinstance(node.get("$ref"), str) else set()
            return own.union(*map(references, node.values()))
        return set().union(*map(references, node)) if isinstance(node, list) else set()

    assert references(described) <= {f"#/components/schemas/{name}" for name in schemas}


def test_the_version_is_that_of_the_api_not_of_the_tables(described: dict[str, Any], client: TestClient) -> None:
    assert described["openapi"].startswith("3.1")
    assert described["info"]["version"] == client.get("/v1/version").json()["api_version"] == "1.0.0"


def test_the_description_says_the_same_twice(app: FastAPI, base: KnowledgeBase, described: dict[str, Any]) -> None:
    assert describe(app, base) == described
