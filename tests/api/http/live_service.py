"""The running server on a port of this computer, and exact bytes to and from it."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

import uvicorn
from uvicorn._types import ASGI3Application

from api.http.server.guard import Guarded
from api.http.server.serve import server_config
from api.http.settings import Settings
from kb import KnowledgeBase


@contextmanager
def serving(base: KnowledgeBase, settings: Settings, app: ASGI3Application | None = None) -> Iterator[int]:
    """Run the service, or another application with the same connections, in a thread and give its port.

    It keeps no log of requests: a line is written after the answer, maybe when this test is over and the next one has
    not begun, and then nobody catches it.
    """
    config = server_config(replace(settings, log_requests=False), base)
    config.app = Guarded(app) if app is not None else config.app
    config.log_level, config.access_log = "critical", False
    config.configure_logging()
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    try:
        yield server.servers[0].sockets[0].getsockname()[1]
    finally:
        server.should_exit = True
        thread.join(timeout=10)


def exchange(port: int, *pieces: bytes, pause_s: float = 0.0) -> tuple[int, dict[str, str], bytes]:
    """Send pieces of bytes; return status, headers and body of the first answer."""
    with socket.create_connection(("127.0.0.1", port), timeout=10) as sock:
        for piece in pieces:
            sock.sendall(piece)
            time.sleep(pause_s)
        return read_answer(sock)


def read_answer(sock: socket.socket) -> tuple[int, dict[str, str], bytes]:
    received = b""
    while b"\r\n\r\n" not in received:
        more = sock.recv(65536)
        assert more, received
        received += more
    head, _, body = received.partition(b"\r\n\r\n")
    lines = head.decode().split("\r\n")
    headers = {name.lower(): value for name, _, value in (line.partition(": ") for line in lines[1:])}
    while len(body) < int(headers.get("content-length", 0)):
        more = sock.recv(65536)
        if not more:
            break
        body += more
    return int(lines[0].split()[1]), headers, body
