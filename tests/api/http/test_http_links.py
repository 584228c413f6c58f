"""Links in the description lead somewhere: what they point at is there, and following them works."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from api.http.openapi.openapi_links import LINKS, Link

STARTS = {
    "list_tables": "/v1/tables",
    "read_table": "/v1/tables/tubes?limit=2",
    "read_find": "/v1/find?words=10/16&kind=tube",
    "read_partners": "/v1/partners?part=tube/soft-10x16&limit=1",
}


def pointed(body: Any, expression: str) -> Any:
    for step in expression.removeprefix("$response.body#/").split("/"):
        body = body[int(step)] if step.isdigit() else body[step]
    return body


@pytest.mark.parametrize("link", [one for one in LINKS if one.source in STARTS], ids=lambda one: one.name)
def test_a_link_can_be_followed(client: TestClient, link: Link) -> None:
    described = client.get("/openapi.json").json()["paths"]
    path, operation = next(
        (path, operation)
        for path, operations in described.items()
        for operation in operations.values()
        if operation["operationId"] == link.target
    )
    names = {one["name"] for one in operation["parameters"]}
    answer = client.get(STARTS[link.source]).json()
    values = {name: pointed(answer, expression) for name, expression in link.parameters.items()}
    assert set(values) <= names
    query = {name: value for name, value in values.items() if f"{{{name}}}" not in path}
    assert client.get(path.format(**values), params=query).status_code == 200
