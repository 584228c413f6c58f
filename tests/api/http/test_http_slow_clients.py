"""Clients that hold on to the service: none gets it for ever, and the others are served meanwhile."""

from __future__ import annotations

import socket
import time
from collections.abc import Iterator

import pytest
from asgi_asking import require_problem
from live_service import exchange, read_answer, serving

from api.http.settings import Settings
from kb import KnowledgeBase

HEAD = b"GET /health HTTP/1.1\r\nHost: x\r\n"
LARGE = b"GET /docs/viewer.js HTTP/1.1\r\nHost: x\r\n\r\n"
MANY = 30  # large answers: more than all buffers between server and client hold
PLACES = 12


@pytest.fixture(scope="module")
def port(base: KnowledgeBase) -> Iterator[int]:
    settings = Settings(
        port=0, head_patience_s=1.0, send_patience_s=0.3, keep_alive_s=1, most_connections=PLACES, body_patience_s=0.5
    )
    with serving(base, settings) as port:
        yield port


def left_over(sock: socket.socket) -> int:
    """Return how many bytes still come before the server hangs up."""
    size = 0
    try:
        while more := sock.recv(1 << 20):
            size += len(more)
    except ConnectionResetError:
        pass
    return size


@pytest.mark.parametrize("last", [b"", b"Connection: close\r\n"])
def test_who_does_not_take_an_answer_loses_the_connection(port: int, last: bytes) -> None:
    with socket.socket() as sock:
        sock.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        sock.settimeout(10)
        sock.connect(("127.0.0.1", port))
        sock.sendall(LARGE * (MANY - 1) + LARGE.replace(b"\r\n\r\n", b"\r\n" + last + b"\r\n"))
        size = int(exchange(port, LARGE)[1]["content-length"])
        time.sleep(0.8)
        assert left_over(sock) < MANY * size


def test_one_connection_too_many_is_refused_and_the_next_free_place_is_given_again(port: int) -> None:
    held = [socket.create_connection(("127.0.0.1", port), timeout=10) for _ in range(PLACES)]
    time.sleep(0.1)
    with socket.create_connection(("127.0.0.1", port), timeout=10) as sock:
        status, headers, body = read_answer(sock)
        assert sock.recv(1) == b""
    assert require_problem(status, headers, body).type == "/problems/busy"
    assert (status, headers["retry-after"], headers["connection"]) == (503, "2", "close")
    for sock in held:
        sock.close()
    time.sleep(0.1)
    assert exchange(port, HEAD + b"\r\n")[0] == 200


def test_a_body_that_nobody_reads_does_not_hold_a_connection(port: int) -> None:
    with socket.create_connection(("127.0.0.1", port), timeout=10) as sock:
        sock.sendall(HEAD + b"Content-Length: 100000\r\n\r\n")
        assert read_answer(sock)[0] == 200
        with pytest.raises(OSError):
            for _ in range(60):
                sock.sendall(b"x")
                time.sleep(0.05)


def test_a_wish_for_another_protocol_is_not_followed(port: int) -> None:
    sent = HEAD + b"Connection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Key: x\r\n\r\n"
    assert exchange(port, sent)[0] == 200


def test_a_good_client_is_served_while_others_dawdle(port: int) -> None:
    dawdling = [socket.create_connection(("127.0.0.1", port), timeout=10) for _ in range(PLACES - 2)]
    for sock in dawdling:
        sock.sendall(HEAD)
    began = time.monotonic()
    assert exchange(port, HEAD + b"\r\n")[0] == 200
    assert time.monotonic() - began < 0.5
    for sock in dawdling:
        sock.close()
