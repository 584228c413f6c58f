"""Every type of problem, provoked."""

from __future__ import annotations

import asyncio

import pytest
from asgi_asking import Asker, Raw, got, posted, require_problem
from fastapi import FastAPI
from starlette.testclient import TestClient
from starlette.types import Message

from api.http.app import create_app
from api.http.problems.problem_kinds import PROBLEM_KINDS
from api.http.settings import Settings
from kb import KnowledgeBase

PROVOKED = {
    "invalid-question": (posted("/v1/pair", {"a": "thread/g-1-4"}), 422),
    "unknown-id": (posted("/v1/pair", {"a": "thread/g-1-5", "b": "thread/g-1-4"}), 422),
    "not-found": (got("/v1/nothing"), 404),
    "method-not-allowed": (got("/v1/loop"), 405),
    "malformed-url": (got("/v1/rows/thread/%ff"), 400),
    "url-too-long": (got("/v1/find?words=" + "x" * Settings().largest_head_bytes), 414),
    "unknown-parameter": (got("/v1/tables/tubes?limt=5"), 400),
    "repeated-parameter": (got("/v1/tables/tubes?limit=5&limit=6"), 400),
    "not-acceptable": (
        got("/v1/matrix?rows=family/plastic&columns=family/water", headers=[(b"accept", b"image/png")]),
        406,
    ),
    "not-json": (posted("/v1/pair", b"{"), 400),
    "unsupported-media-type": (posted("/v1/pair", {}, content_type="text/plain"), 415),
    "body-too-large": (posted("/v1/pair", b" " * (Settings().largest_body_bytes + 1)), 413),
    "version-not-served": (got("/v1/tables", headers=[(b"wetted-version", b"2020.1.0+0123456789ab")]), 412),
}
PROVOKED_BELOW = {"internal-error", "request-too-slow", "busy", "took-too-long", "malformed-request"}  # by the guard,
# and with long questions


@pytest.mark.parametrize("slug", PROVOKED)
def test_a_provoked_problem_is_a_document_of_its_type(ask: Asker, slug: str) -> None:
    request, status = PROVOKED[slug]
    reply = ask(request)
    problem = require_problem(reply.status, reply.headers, reply.body)
    assert (problem.type, reply.status) == (f"/problems/{slug}", status)


def test_every_type_of_problem_is_provoked() -> None:
    assert set(PROVOKED) | PROVOKED_BELOW == set(PROBLEM_KINDS)


class BrokenBase(KnowledgeBase):
    """Breaks on every pair."""

    def pair(self, a: object, **_: object) -> None:  # type: ignore[override]
        raise RuntimeError(f"secret detail of {a}")


def test_what_breaks_inside_is_reported_without_its_details(
    base: KnowledgeBase, caplog: pytest.LogCaptureFixture
) -> None:
    reply = Asker(create_app(BrokenBase(base.snapshot)))(posted("/v1/pair", {"a": "x", "b": "y"}))
    problem = require_problem(reply.status, reply.headers, reply.body)
    assert (problem.type, reply.status) == ("/problems/internal-error", 500)
    assert b"secret" not in reply.body
    assert "secret detail of x" in caplog.text


def test_a_body_that_does_not_arrive_is_given_up(base: KnowledgeBase) -> None:
    app = create_app(base, Settings(body_patience_s=0.05))
    sent: list[Message] = []

    async def never() -> Message:
        await asyncio.sleep(60)
        raise AssertionError

    async def ask() -> None:
        scope = {
            "type": "http",
            "method": "POST",
            "path": "/v1/pair",
            "raw_path": b"/v1/pair",
            "query_string": b"",
            "headers": [(b"content-type", b"application/json")],
        }

        async def send(message: Message) -> None:
            sent.append(message)

        await asyncio.wait_for(app(scope, never, send), timeout=5)

    asyncio.run(ask())
    headers = {name.decode(): value.decode() for name, value in sent[0]["headers"]}
    problem = require_problem(sent[0]["status"], headers, sent[1]["body"])
    assert (problem.type, problem.status, headers["connection"]) == ("/problems/request-too-slow", 408, "close")


def test_a_body_of_exactly_the_limit_is_read(ask: Asker) -> None:
    body = b'{"a": "thread/g-1-4", "b": "thread/g-1-4"}'
    reply = ask(posted("/v1/pair", body.ljust(Settings().largest_body_bytes)))
    assert reply.status == 200


def test_a_body_is_given_up_while_it_streams_whatever_its_length_says(app: FastAPI) -> None:
    chunks = tuple(b" " * 65536 for _ in range(64))
    headers = ((b"content-type", b"application/json"), (b"content-length", b"10"))
    reply = Asker(app)(Raw("POST", b"/v1/pair", chunks=chunks, headers=headers))
    assert (reply.status, reply.headers["connection"]) == (413, "close")


def test_an_unknown_row_is_not_found_and_an_unknown_part_of_a_question_is_unprocessable(client: TestClient) -> None:
    row, pair = client.get("/v1/rows/thread/g-1-5"), client.get("/v1/pair?a=thread/g-1-5&b=thread/g-1-4")
    assert row.json()["type"] == pair.json()["type"] == "/problems/unknown-id"
    assert (row.status_code, pair.status_code) == (404, 422)
    assert "thread/g-1-4" in row.json()["errors"][0]["nearest"]
    assert pair.json()["errors"][0]["field"] == "a"


@pytest.mark.parametrize(("method", "path"), [("DELETE", "/v1/pair"), ("PUT", "/v1/pair")])
def test_allow_names_the_methods_of_all_routes_at_the_path(client: TestClient, method: str, path: str) -> None:
    response = client.request(method, path)
    assert (response.status_code, response.headers["allow"]) == (405, "GET, HEAD, OPTIONS, POST")


def test_head_on_a_path_without_get_is_refused_with_allow(client: TestClient) -> None:
    response = client.head("/v1/loop")
    assert (response.status_code, response.headers["allow"], response.content) == (405, "OPTIONS, POST", b"")


def test_a_misspelt_parameter_is_told_the_nearest(client: TestClient) -> None:
    [error] = client.get("/v1/partners?part=port/g-1-4-loop&verdict=unknown").json()["errors"]
    assert error["nearest"][0] == "verdicts"


def test_conditions_are_parameters_only_where_rules_are_asked_with_them(client: TestClient) -> None:
    response = client.get("/v1/between?a=port/g-1-4-loop&b=tube/soft-10x16&condition.coolant-temperature=5")
    assert response.json()["type"] == "/problems/unknown-parameter"


@pytest.mark.parametrize("slug", PROBLEM_KINDS)
def test_every_type_is_explained_at_its_address(client: TestClient, slug: str) -> None:
    kind = PROBLEM_KINDS[slug]
    explained = client.get(kind.path).json()
    assert (explained["title"], explained["status"]) == (kind.title, kind.status)
    shown = client.get(kind.path, headers={"Accept": "text/html,*/*"})
    assert shown.headers["content-type"].startswith("text/html")
    assert kind.title in shown.text


def test_all_types_are_listed(client: TestClient) -> None:
    listed = client.get("/problems").json()["problems"]
    assert [one["type"] for one in listed] == [kind.path for kind in PROBLEM_KINDS.values()]
