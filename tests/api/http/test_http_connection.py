"""The running server: real sockets, broken and slow clients."""

from __future__ import annotations

import json
import socket
import time
from collections.abc import Iterator

import pytest
from asgi_asking import require_problem
from live_service import exchange, read_answer, serving

from api.http.settings import Settings
from kb import KnowledgeBase

MOST_PIECES = 1000  # of 64 KiB: far more than the buffers between client and server hold
HEAD = b"GET /health HTTP/1.1\r\nHost: x\r\n"


@pytest.fixture(scope="module")
def port(base: KnowledgeBase) -> Iterator[int]:
    with serving(base, Settings(port=0)) as port:
        yield port


@pytest.fixture(scope="module")
def hasty_port(base: KnowledgeBase) -> Iterator[int]:
    with serving(base, Settings(port=0, head_patience_s=0.3, body_patience_s=0.3)) as port:
        yield port


def test_a_request_in_pieces_is_answered(port: int) -> None:
    status, _, body = exchange(port, HEAD, b"\r\n", pause_s=0.05)
    assert (status, json.loads(body)["status"]) == (200, "ok")


def test_two_requests_on_one_connection_are_both_answered(port: int) -> None:
    with socket.create_connection(("127.0.0.1", port), timeout=10) as sock:
        for _ in range(2):
            sock.sendall(HEAD + b"\r\n")
            assert read_answer(sock)[0] == 200


def test_head_sends_no_body(port: int) -> None:
    with socket.create_connection(("127.0.0.1", port), timeout=10) as sock:
        sock.sendall(b"HEAD /health HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")
        received = b""
        while more := sock.recv(65536):
            received += more
    assert received.startswith(b"HTTP/1.1 200")
    assert received.endswith(b"\r\n\r\n")


@pytest.mark.parametrize(
    "sent",
    [
        b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03\r\n\r\n",
        b"GET\r\n\r\n",
        b"GET /a b HTTP/1.1\r\nHost: x\r\n\r\n",
        b"GET /health HTTP/1.1\r\n\r\n",
        b"GET /health HTTP/1.1\r\nHost: x\r\nHost: y\r\n\r\n",
        b"CONNECT x:80 HTTP/1.1\r\nHost: x\r\n\r\n",
        b"GET /\xff HTTP/1.1\r\nHost: x\r\n\r\n",
        b"GET /health HTTP/1.1\r\nHost: x\r\nBad Header: 1\r\n\r\n",
        b"POST /v1/pair HTTP/1.1\r\nHost: x\r\nContent-Length: -1\r\n\r\n",
        b"POST /v1/pair HTTP/1.1\r\nHost: x\r\nContent-Length: 2\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
    ],
)
def test_what_is_not_http_is_refused_with_a_problem(port: int, sent: bytes) -> None:
    status, headers, body = exchange(port, sent)
    problem = require_problem(status, {"x-content-type-options": "nosniff"} | headers, body)
    assert (problem.type, status, headers["connection"]) == ("/problems/malformed-request", 400, "close")


def test_a_head_that_does_not_end_is_given_up(hasty_port: int) -> None:
    with socket.create_connection(("127.0.0.1", hasty_port), timeout=10) as sock:
        began = time.monotonic()
        sock.sendall(HEAD)
        status, headers, body = read_answer(sock)
        assert sock.recv(1) == b""
    problem = require_problem(status, {"x-content-type-options": "nosniff"} | headers, body)
    assert problem.type == "/problems/request-too-slow"
    assert 0.2 < time.monotonic() - began < 5


def test_a_head_that_trickles_is_given_up_all_the_same(hasty_port: int) -> None:
    with socket.create_connection(("127.0.0.1", hasty_port), timeout=10) as sock:
        sock.sendall(HEAD)
        with pytest.raises(OSError):
            for _ in range(40):
                sock.sendall(b"X: 1\r\n")
                time.sleep(0.05)


def test_a_second_head_that_does_not_end_is_given_up(hasty_port: int) -> None:
    with socket.create_connection(("127.0.0.1", hasty_port), timeout=10) as sock:
        sock.sendall(HEAD + b"\r\n")
        assert read_answer(sock)[0] == 200
        sock.sendall(HEAD)
        assert read_answer(sock)[0] == 408


@pytest.mark.parametrize(
    "sent",
    [
        b"Content-Length: 100\r\n\r\n{",
        b"Transfer-Encoding: chunked\r\n\r\n",
        b"Transfer-Encoding: chunked\r\n\r\n5;a",
        b"Transfer-Encoding: chunked\r\n\r\n5\r\n{",
        b"Transfer-Encoding: chunked\r\n\r\n1\r\n{\r\n0\r\n",
    ],
)
def test_a_body_that_does_not_end_is_given_up(hasty_port: int, sent: bytes) -> None:
    head = b"POST /v1/pair HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
    status, headers, body = exchange(hasty_port, head + sent)
    assert require_problem(status, headers, body).type == "/problems/request-too-slow"


def test_who_waits_to_be_asked_for_the_body_is_asked(port: int) -> None:
    body = b'{"a": "thread/g-1-4", "b": "thread/g-1-4"}'
    head = b"POST /v1/pair HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nExpect: 100-continue\r\n"
    with socket.create_connection(("127.0.0.1", port), timeout=10) as sock:
        sock.sendall(head + b"Content-Length: %d\r\n\r\n" % len(body))
        assert sock.recv(65536) == b"HTTP/1.1 100 Continue\r\n\r\n"
        sock.sendall(body)
        assert read_answer(sock)[0] == 200


def test_who_is_still_sending_can_read_the_refusal(port: int) -> None:
    """Hanging up on bytes that were not read makes the client's system forget the answer (RFC 9112, section 9.6)."""
    head = b"POST /v1/pair HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 1800000\r\n\r\n"
    with socket.create_connection(("127.0.0.1", port), timeout=10) as sock:
        sock.sendall(head + b" " * 200_000)
        time.sleep(0.2)
        sock.sendall(b" " * 600_000)
        time.sleep(0.2)
        status, headers, body = read_answer(sock)
    assert require_problem(status, headers, body).type == "/problems/body-too-large"


def test_a_body_without_end_is_cut_off(port: int) -> None:
    head = b"POST /v1/pair HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n"
    chunk = b"10000\r\n" + b" " * 65536 + b"\r\n"
    with socket.create_connection(("127.0.0.1", port), timeout=10) as sock:
        sock.sendall(head)
        with pytest.raises((ConnectionResetError, BrokenPipeError)):
            for _ in range(MOST_PIECES):
                sock.sendall(chunk)


def test_a_head_without_end_is_cut_off(port: int) -> None:
    with socket.create_connection(("127.0.0.1", port), timeout=10) as sock:
        sock.sendall(HEAD)
        with pytest.raises((ConnectionResetError, BrokenPipeError)):
            for _ in range(MOST_PIECES):
                sock.sendall(b"X: " + b"a" * 65536 + b"\r\n")


def test_a_head_within_the_limit_is_read_and_one_beyond_it_is_refused(port: int) -> None:
    for size, expected in ((15_000, 200), (17_000, 400)):
        assert exchange(port, HEAD + b"X: " + b"a" * size + b"\r\n\r\n")[0] == expected
        assert exchange(port, HEAD, b"X: " + b"a" * size, b"\r\n\r\n", pause_s=0.02)[0] == expected


def test_a_small_head_after_a_large_body_is_read(port: int) -> None:
    body = b'{"a": "thread/g-1-4", "b": "thread/g-1-4"}'.ljust(200_000)
    head = b"POST /v1/pair HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 200000\r\n\r\n"
    with socket.create_connection(("127.0.0.1", port), timeout=10) as sock:
        sock.sendall(head + body + HEAD)
        assert read_answer(sock)[0] == 200
        sock.sendall(b"\r\n")
        assert read_answer(sock)[0] == 200


def test_lines_without_a_request_do_not_hold_a_connection(hasty_port: int) -> None:
    with socket.create_connection(("127.0.0.1", hasty_port), timeout=10) as sock, pytest.raises(OSError):
        for _ in range(60):
            sock.sendall(b"\r\n")
            time.sleep(0.05)


def test_requests_sent_ahead_are_answered_in_order(port: int) -> None:
    paths = (b"/health", b"/v1/version", b"/nothing", b"/health")
    with socket.create_connection(("127.0.0.1", port), timeout=10) as sock:
        sock.sendall(b"".join(b"GET %b HTTP/1.1\r\nHost: x\r\n\r\n" % path for path in paths))
        received = b""
        while received.count(b"HTTP/1.1 ") < len(paths) or not received.endswith(b"}"):
            received += sock.recv(65536)
    assert [int(part[:3]) for part in received.split(b"HTTP/1.1 ")[1:]] == [200, 200, 404, 200]


def test_the_server_does_not_say_what_it_is_made_of(port: int) -> None:
    _, headers, _ = exchange(port, HEAD + b"\r\n")
    assert "server" not in headers
