"""Numbers in addresses are those of JSON: whatever only looks like one is refused by name."""

from __future__ import annotations

from typing import Any
from urllib.parse import quote

import pytest
from asgi_asking import Asker, got, require_problem
from hypothesis import given
from hypothesis import strategies as st
from number_texts import NO_NUMBERS, NO_WHOLE_NUMBERS
from starlette.testclient import TestClient

WHOLE = {
    "/v1/find": "words=G 1/4",
    "/v1/partners": "part=thread/g-1-4",
    "/v1/between": "a=port/g-1-4-loop&b=tube/soft-10x16",
    "/v1/fluids": "parts=metal/copper",
    "/v1/materials": "fluid=fluid/distilled-water",
    "/v1/tables/{table}": "",
}
MIX = {"concentrate_parts": "1", "water_parts": "3", "concentrate_glycol_percent": "95", "temperature_c": "20"}
CONDITIONAL = {
    "/v1/pair": "a=thread/g-1-4&b=thread/g-1-4",
    "/v1/fluids": "parts=metal/copper",
    "/v1/materials": "fluid=fluid/distilled-water",
    "/v1/matrix": "rows=family/brass&columns=family/water",
}


def refused(ask: Asker, address: str, name: str, text: str) -> None:
    path, _, query = address.partition("?")
    sent = quote(query, safe="=&/") + "&" * bool(query) + f"{name}={quote(text, safe='')}"
    reply = ask(got(f"{path}?{sent}"))
    problem = require_problem(reply.status, reply.headers, reply.body)
    assert (problem.status, problem.type) == (422, "/problems/invalid-question"), (text, problem.detail)
    [error] = problem.errors
    assert error.field == name
    assert "number" in error.what


def numeric_parameters(client: TestClient) -> set[tuple[str, str]]:
    """Return path and name of all parameters that are described as numbers."""
    paths: dict[str, Any] = client.get("/openapi.json").json()["paths"]
    described = (
        (path, one) for path, operations in paths.items() for one in operations.get("get", {}).get("parameters", ())
    )
    numeric = [(path, one) for path, one in described if one["schema"].get("type") in ("integer", "number")]
    assert all({"minimum", "exclusiveMinimum"} & set(one["schema"]) for _, one in numeric)
    return {(path, one["name"]) for path, one in numeric}


def test_these_are_all_parameters_that_take_a_number(client: TestClient) -> None:
    assert numeric_parameters(client) == {(path, "limit") for path in WHOLE} | {("/v1/mix", name) for name in MIX}


@pytest.mark.parametrize("path", WHOLE)
@given(text=NO_WHOLE_NUMBERS)
def test_a_limit_is_a_whole_number_or_refused(ask: Asker, path: str, text: str) -> None:
    refused(ask, f"{path.replace('{table}', 'tubes')}?{WHOLE[path]}", "limit", text)


@pytest.mark.parametrize("path", CONDITIONAL)
@given(text=NO_NUMBERS)
def test_a_circumstance_is_a_number_or_refused(ask: Asker, path: str, text: str) -> None:
    refused(ask, f"{path}?{CONDITIONAL[path]}", "condition.coolant-temperature", text)


@given(name=st.sampled_from(list(MIX)), text=NO_NUMBERS)
def test_an_amount_to_mix_is_a_number_or_refused(ask: Asker, name: str, text: str) -> None:
    others = "&".join(f"{one}={amount}" for one, amount in MIX.items() if one != name)
    refused(ask, f"/v1/mix?glycol=propylene-glycol&{others}", name, text)


@pytest.mark.parametrize(("limit", "most"), [("1", 1), ("10", 10), ("200", 200)])
def test_whole_numbers_are_read(client: TestClient, limit: str, most: int) -> None:
    assert len(client.get(f"/v1/tables/threads?limit={limit}").json()["records"]) <= most


@pytest.mark.parametrize("text", ["45", "45.0", "4.5e1", "450E-1", "-0", "0.5"])
def test_numbers_are_read_as_json_writes_them(client: TestClient, text: str) -> None:
    assert client.get(f"/v1/pair?a=thread/g-1-4&b=thread/g-1-4&condition.coolant-temperature={text}").status_code == 200


@pytest.mark.parametrize("limit", ["0", "-1", "201", "9" * 100])
def test_a_whole_number_out_of_range_is_reported_the_range(client: TestClient, limit: str) -> None:
    [error] = client.get(f"/v1/find?words=G&limit={limit}").json()["errors"]
    assert error["fix"] in ("give 1 or more", "give 200 or less")
