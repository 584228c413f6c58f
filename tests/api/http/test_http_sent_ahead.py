"""Requests on one connection: in turn, none lost, none taken for another, and nobody waits for ever."""

from __future__ import annotations

import gc
import json
import queue
import socket
import time
from collections.abc import Iterator

import pytest
from asgi_asking import require_problem
from live_service import exchange, read_answer, serving
from starlette.types import Receive, Scope, Send
from test_http_operating import samples
from uvicorn.protocols.http.httptools_impl import RequestResponseCycle

from api.http.settings import Settings
from kb import KnowledgeBase

PAIR = "/v1/pair?a=thread/g-1-4&b=thread/rp-1-4"


@pytest.fixture(scope="module")
def port(base: KnowledgeBase) -> Iterator[int]:
    with serving(base, Settings(port=0, log_requests=False, head_patience_s=0.3)) as port:
        yield port


@pytest.fixture(scope="module")
def brief_port(base: KnowledgeBase) -> Iterator[int]:
    with serving(base, Settings(port=0, keep_alive_s=1, head_patience_s=1.3)) as port:
        yield port


def request(address: str, *lines: str, version: str = "1.1") -> bytes:
    return "\r\n".join([f"GET {address} HTTP/{version}", "Host: x", *lines, "", ""]).encode()


def test_what_becomes_of_the_connection_changes_no_answer(port: int) -> None:
    kept = exchange(port, request(PAIR))
    for status, headers, body in (
        exchange(port, request(PAIR, version="1.0")),
        exchange(port, request(PAIR, "Connection: close")),
    ):
        assert headers.pop("connection") == "close"
        assert (status, headers.keys(), body) == (kept[0], kept[1].keys(), kept[2])
    found = samples(exchange(port, request("/metrics"))[2].decode())
    assert found["wetted_requests_total", "method=GET", "route=/v1/pair", "status=200"] == 3
    assert found["wetted_cached_responses_total", "route=/v1/pair"] == 2


def test_questions_sent_ahead_are_answered_in_order(port: int) -> None:
    addresses = [PAIR, "/health", PAIR, "/v1/pair?a=x&b=y", PAIR]
    with socket.create_connection(("127.0.0.1", port), timeout=10) as sock:
        sock.sendall(b"".join(map(request, addresses)) + request("/v1/version", "Connection: close"))
        received = b""
        while more := sock.recv(65536):
            received += more
    assert [int(part[:3]) for part in received.split(b"HTTP/1.1 ")[1:]] == [200, 200, 200, 422, 200, 200]


def test_many_questions_on_one_connection_are_answered(port: int) -> None:
    with socket.create_connection(("127.0.0.1", port), timeout=10) as sock:
        for address in (PAIR, PAIR, "/health", PAIR, "/v1/version", PAIR):
            sock.sendall(request(address))
            status, _, body = read_answer(sock)
            assert (status, json.loads(body)["kb_version"] != "") == (200, True)


def test_a_question_in_pieces_is_answered(port: int) -> None:
    whole = request(PAIR)
    for cut in (1, 20, len(whole) - 1):
        assert exchange(port, whole[:cut], whole[cut:], pause_s=0.02)[0] == 200


def test_an_idle_connection_is_closed_without_a_word(brief_port: int) -> None:
    with socket.create_connection(("127.0.0.1", brief_port), timeout=10) as sock:
        sock.sendall(request(PAIR))
        assert read_answer(sock)[0] == 200
        assert sock.recv(1) == b""


def test_who_was_answered_may_be_silent_but_not_dawdle(port: int) -> None:
    with socket.create_connection(("127.0.0.1", port), timeout=10) as sock:
        sock.sendall(request(PAIR))
        assert read_answer(sock)[0] == 200
        time.sleep(0.5)  # longer than a head may take
        sock.sendall(request(PAIR))
        assert read_answer(sock)[0] == 200
        sock.sendall(request(PAIR)[:-2])
        status, headers, body = read_answer(sock)
    assert require_problem(status, {"x-content-type-options": "nosniff"} | headers, body).type.endswith("too-slow")


def test_the_half_of_a_next_head_behind_a_question_is_given_up(port: int) -> None:
    with socket.create_connection(("127.0.0.1", port), timeout=10) as sock:
        sock.sendall(request(PAIR) + request(PAIR)[:-2])
        assert read_answer(sock)[0] == 200
        assert read_answer(sock)[0] == 408


def test_a_slow_question_behind_another_is_not_cut_off_as_idle(brief_port: int) -> None:
    body = json.dumps({"a": "thread/g-1-4", "b": "thread/g-1-4"}).encode()
    head = f"POST /v1/pair HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
    with socket.create_connection(("127.0.0.1", brief_port), timeout=10) as sock:
        sock.sendall(request(PAIR) + head.encode())
        assert read_answer(sock)[0] == 200
        time.sleep(1.3)  # longer than an idle connection is held open
        sock.sendall(body)
        assert read_answer(sock)[0] == 200


@pytest.mark.parametrize("address", [PAIR, "/health"])
def test_half_a_head_behind_a_question_is_told_that_it_is_late(brief_port: int, address: str) -> None:
    with socket.create_connection(("127.0.0.1", brief_port), timeout=10) as sock:
        sock.sendall(request(address) + request(PAIR)[:-2])
        assert [read_answer(sock)[0] for _ in range(2)] == [200, 408]


def test_questions_sent_far_ahead_wait_as_bytes_and_are_all_answered(port: int) -> None:
    count = 3000
    with socket.create_connection(("127.0.0.1", port), timeout=10) as sock:
        sock.sendall(request("/v1/version") * count + request("/health", "Connection: close"))
        time.sleep(0.3)
        waiting = sum(isinstance(one, RequestResponseCycle) for one in gc.get_objects())
        received = b""
        while more := sock.recv(1 << 20):
            received += more
    assert received.count(b"HTTP/1.1 200 OK") == count + 1
    assert waiting < count / 10


def test_an_answer_to_who_left_ends_quietly_though_another_question_waits_behind_it(base: KnowledgeBase) -> None:
    ends: queue.Queue[str] = queue.Queue()

    async def pour(scope: Scope, _receive: Receive, send: Send) -> None:
        if scope["type"] == "http":
            ends.put(await poured(send))

    with serving(base, Settings(port=0), pour) as port:
        with socket.create_connection(("127.0.0.1", port), timeout=10) as sock:
            sock.sendall(request(PAIR) * 2)
            assert sock.recv(100)
        assert ends.get(timeout=5) == "quiet"


async def poured(send: Send) -> str:
    try:
        await send({"type": "http.response.start", "status": 200, "headers": []})
        for _ in range(200):
            await send({"type": "http.response.body", "body": bytes(65536), "more_body": True})
    except RuntimeError:
        return "broken"
    return "quiet"


@pytest.mark.parametrize("host", [(), ("Host: y",)])
def test_a_question_names_one_host(port: int, host: tuple[str, ...]) -> None:
    sent = request(PAIR, *host) if host else request(PAIR).replace(b"Host: x\r\n", b"")
    assert exchange(port, sent)[0] == 400
