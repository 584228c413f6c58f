"""Batches: every line answered in its place as it would be alone, and none of them spoils another."""

from __future__ import annotations

import asyncio
import json
import socket
from collections.abc import Iterator
from typing import Any

import pytest
from asgi_asking import Asker, Raw, require_problem
from starlette.testclient import TestClient
from test_http_connection import serving
from test_http_hostile import BODIES, PARTS

from api.http.app import create_app
from api.http.openapi.examples import examples
from api.http.routes.batch import ASKINGS
from api.http.settings import Settings
from kb import KnowledgeBase
from schemas.answers.problems import Problem

NDJSON = "application/x-ndjson"
PAIRS = (
    {"a": "thread/g-1-4", "b": "thread/npt-1-4"},
    {"a": {"is": "tube/soft-10x16", "id_mm": 9.8}, "b": "fitting/compression-10x16-g-1-4"},
    {"a": "metal/copper", "b": "fluid/distilled-water", "conditions": {"coolant-temperature": 45}},
)
WORDS = [asking.word for asking in ASKINGS]
OF_ITS_OWN = {"instance": "", "request_id": ""}  # these two are told of the request, not of the question


def batch(client: TestClient, word: str, body: bytes, media_type: str = NDJSON) -> list[dict[str, Any]]:
    headers = {"content-type": media_type, "x-request-id": "batch-1"}
    response = client.post(f"/v1/batch/{word}", content=body, headers=headers)
    assert response.status_code == 200, response.text
    assert response.headers["content-type"] == NDJSON
    return [json.loads(line) for line in response.text.splitlines()]


def lines(*questions: Any) -> bytes:
    return b"".join(json.dumps(question).encode() + b"\n" for question in questions)


def problem_of(entry: dict[str, Any]) -> Problem:
    assert set(entry) == {"index", "problem"}
    return Problem.from_dict(entry["problem"])


@pytest.fixture(scope="module")
def narrow(base: KnowledgeBase) -> Iterator[TestClient]:
    settings = Settings(largest_body_bytes=200, largest_batch_bytes=1000, most_batch_questions=5)
    with TestClient(create_app(base, settings)) as client:
        yield client


@pytest.mark.parametrize("word", WORDS)
def test_each_answer_is_the_one_that_the_question_gets_alone(client: TestClient, word: str) -> None:
    body = next(dict(one.body or {}) for one in examples() if one.operation_id == f"ask_{word}")
    alone = client.post(f"/v1/{word}", json=body).json()
    assert batch(client, word, lines(body, body)) == [{"index": index, "answer": alone} for index in (0, 1)]


@pytest.mark.parametrize("word", WORDS)
@pytest.mark.parametrize("headers", [{}, {"x-request-id": "order-7"}, {"x-request-id": "<not sane>"}])
def test_every_problem_names_the_request_that_it_came_with(
    client: TestClient, word: str, headers: dict[str, str]
) -> None:
    wrong = [{}, {"a": "thread/none", "b": "thread/g-1-4", "words": 5}, {"unheard": "of"}]
    for body, media_type in ((lines(*wrong) + b"{", NDJSON), (json.dumps(wrong).encode(), "application/json")):
        response = client.post(f"/v1/batch/{word}", content=body, headers=headers | {"content-type": media_type})
        problems = [problem_of(json.loads(line)) for line in response.text.splitlines()]
        assert len(problems) >= len(wrong)
        assert {problem.request_id for problem in problems} == {response.headers["x-request-id"]}
        assert response.headers["x-request-id"]


def test_order_is_kept_over_many_lines(client: TestClient) -> None:
    questions = [PAIRS[number % 7 % 3] for number in range(200)]
    alone = {json.dumps(pair): client.post("/v1/pair", json=pair).json() for pair in PAIRS}
    reported = batch(client, "pair", lines(*questions))
    assert reported == [{"index": at, "answer": alone[json.dumps(pair)]} for at, pair in enumerate(questions)]


def test_an_array_is_answered_like_lines(client: TestClient) -> None:
    questions = [*PAIRS, {}, {"a": "thread/none", "b": "thread/g-1-4"}]
    array = batch(client, "pair", json.dumps(questions).encode(), "application/json")
    assert array == batch(client, "pair", lines(*questions))


@pytest.mark.parametrize("name", [name for name, body in BODIES.items() if b"\n" not in body])
def test_a_hostile_line_gets_the_problem_it_gets_alone_and_spoils_nothing(client: TestClient, name: str) -> None:
    good = lines(PAIRS[0])
    before, bad, after = batch(client, "pair", good + BODIES[name] + b"\n" + good)
    assert before["answer"] == after["answer"]
    assert [before["index"], bad["index"], after["index"]] == [0, 1, 2]
    headers = {"content-type": "application/json"}
    alone = client.post("/v1/pair", content=BODIES[name] or b" ", headers=headers).json()
    assert bad["problem"] | OF_ITS_OWN == alone | OF_ITS_OWN
    assert bad["problem"]["instance"] == "/v1/batch/pair/1"


@pytest.mark.parametrize("name", PARTS)
def test_a_hostile_part_gets_the_answer_or_problem_it_gets_alone(client: TestClient, name: str) -> None:
    body = b'{"a": ' + PARTS[name] + b', "b": "thread/g-1-4"}'
    [entry] = batch(client, "pair", body)
    alone = client.post("/v1/pair", content=body, headers={"content-type": "application/json"}).json()
    reported = entry.get("answer") or problem_of(entry).to_dict()
    assert reported | OF_ITS_OWN == alone | OF_ITS_OWN


def test_an_unknown_field_is_a_problem_that_names_the_nearest(client: TestClient) -> None:
    [entry] = batch(client, "partners", lines({"part": "tube/soft-10x16", "limt": 5}))
    assert problem_of(entry).errors[0].nearest[0] == "limit"


def test_an_unknown_parameter_is_refused(client: TestClient) -> None:
    response = client.post("/v1/batch/pair?limit=5", content=lines(*PAIRS), headers={"content-type": NDJSON})
    assert response.status_code == 400
    assert response.json()["type"] == "/problems/unknown-parameter"


def test_line_ends_of_either_kind_and_a_missing_last_one_are_read(client: TestClient) -> None:
    reported = batch(client, "pair", lines(PAIRS[0]).replace(b"\n", b"\r\n") + lines(PAIRS[1]).rstrip())
    assert [set(one) for one in reported] == [{"index", "answer"}] * 2


@pytest.mark.parametrize(
    ("body", "media_type", "status"),
    [
        (b"", NDJSON, 400),
        (b"", "application/json", 400),
        (b"[]", "application/json", 422),
        (b"{}", "application/json", 422),
        (b'[{"a":1,"a":1}]', "application/json", 400),
        (b"[NaN]", "application/json", 400),
        (b"{}", "text/plain", 415),
        (b"{}", "application/x-ndjson; charset=utf-16", 415),
    ],
)
def test_a_batch_that_is_none_is_refused_whole(ask: Asker, body: bytes, media_type: str, status: int) -> None:
    reply = ask(Raw("POST", b"/v1/batch/pair", chunks=(body,), headers=((b"content-type", media_type.encode()),)))
    assert reply.status == status
    require_problem(reply.status, reply.headers, reply.body)


def test_who_does_not_accept_lines_is_told_so(client: TestClient) -> None:
    headers = {"content-type": NDJSON, "accept": "text/csv"}
    assert client.post("/v1/batch/pair", content=lines(*PAIRS), headers=headers).status_code == 406


def test_a_line_in_crumbs_is_read_as_one(ask: Asker) -> None:
    crumbs = tuple(bytes([byte]) for byte in lines(PAIRS[0], {}))
    reply = ask(Raw("POST", b"/v1/batch/pair", chunks=crumbs, headers=((b"content-type", NDJSON.encode()),)))
    assert ["answer" in json.loads(line) for line in reply.body.splitlines()] == [True, False]


def test_a_line_too_long_is_a_problem_of_its_own(narrow: TestClient) -> None:
    good = lines(PAIRS[0])
    reported = batch(narrow, "pair", good + b" " * 500 + b"\n" + good)
    assert problem_of(reported[1]).type == "/problems/body-too-large"
    assert "answer" in reported[0]
    assert "answer" in reported[2]


def test_more_questions_than_allowed_end_with_a_problem(narrow: TestClient) -> None:
    reported = batch(narrow, "pair", b"{}\n" * 9)
    assert [problem_of(one).status for one in reported] == [422] * 5 + [413]


def test_more_bytes_than_allowed_end_with_a_problem(base: KnowledgeBase) -> None:
    narrow = Asker(create_app(base, Settings(largest_body_bytes=200, largest_batch_bytes=300)))
    chunks = (lines(PAIRS[0]),) * 20
    reply = narrow(Raw("POST", b"/v1/batch/pair", chunks=chunks, headers=((b"content-type", NDJSON.encode()),)))
    reported = [json.loads(line) for line in reply.body.splitlines()]
    assert ["answer" in one for one in reported] == [True] * (len(reported) - 1) + [False]
    assert problem_of(reported[-1]).status == 413
    assert len(reported) < 20


def test_a_batch_declared_too_large_is_refused_at_once(narrow: TestClient) -> None:
    response = narrow.post("/v1/batch/pair", content=b" " * 1001, headers={"content-type": NDJSON})
    assert response.status_code == 413


def test_a_mistake_of_ours_in_one_line_leaves_the_others_alone(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_fault = "kb.compatibility.pair.decide_pair"

    def broken(*asked: Any) -> Any:
        monkeypatch.undo()
        raise RuntimeError(asked)

    monkeypatch.setattr(at_fault, broken)
    first, second = batch(client, "pair", lines(PAIRS[0], PAIRS[0]))
    assert problem_of(first).type == "/problems/internal-error"
    assert "answer" in second


def test_a_further_batch_is_put_off_while_all_places_are_taken(base: KnowledgeBase) -> None:
    asker = Asker(create_app(base, Settings(most_batches=1)))
    headers = ((b"content-type", NDJSON.encode()),)
    many = Raw("POST", b"/v1/batch/pair", chunks=(lines(PAIRS[0]) * 300,), headers=headers)

    async def both() -> list[Any]:
        return await asyncio.gather(asker.send(many), asker.send(many))

    first, second = asyncio.run(both())
    assert first.status == 200
    assert second.status == 503
    assert int(second.headers["retry-after"]) > 0
    assert require_problem(second.status, second.headers, second.body).type == "/problems/busy"


def test_who_sends_all_before_reading_anything_is_answered(base: KnowledgeBase) -> None:
    """Three thousand answers, far more than any buffer holds, while the client is still sending."""
    body = lines(PAIRS[0]) * 3_000
    head = f"POST /v1/batch/pair HTTP/1.1\r\nHost: x\r\nContent-Type: {NDJSON}\r\nContent-Length: {len(body)}\r\n\r\n"
    with (
        serving(base, Settings(port=0)) as port,
        socket.create_connection(("127.0.0.1", port), timeout=60) as sock,
    ):
        sock.sendall(head.encode() + body)
        reported = bytearray()
        while not reported.endswith(b"\r\n0\r\n\r\n"):
            reported += sock.recv(1 << 20)
    assert reported.count(b'"answer":') == 3_000


def test_who_does_not_take_the_answers_is_left(base: KnowledgeBase) -> None:
    body = lines(PAIRS[0]) * 3_000
    head = f"POST /v1/batch/pair HTTP/1.1\r\nHost: x\r\nContent-Type: {NDJSON}\r\nContent-Length: {len(body)}\r\n\r\n"
    settings = Settings(port=0, send_patience_s=0.2, most_batches=1)
    with serving(base, settings) as port, socket.create_connection(("127.0.0.1", port), timeout=30) as deaf:
        deaf.sendall(head.encode() + body)
        for _ in range(100):
            with socket.create_connection(("127.0.0.1", port), timeout=30) as sock:
                short = head.replace(str(len(body)), "2").encode() + b"{}"
                sock.sendall(short)
                answer = sock.recv(1 << 16)
            if answer.startswith(b"HTTP/1.1 200"):
                return
            assert answer.startswith(b"HTTP/1.1 503")
            asyncio.run(asyncio.sleep(0.1))
    pytest.fail("the place was never given back")
