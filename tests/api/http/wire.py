"""Exact bytes to a connection of the service and from it, without a socket: what arrives when is decided here."""

from __future__ import annotations

import asyncio
from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import partial
from typing import Any, NamedTuple

import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol
from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol
from uvicorn.server import ServerState

from api.http.server.guard import Guard
from api.http.server.serve import server_config
from api.http.settings import Settings
from kb import KnowledgeBase

PROTOCOLS = (HttpToolsProtocol, H11Protocol)
LONGEST_S = 20.0


class Answer(NamedTuple):
    """A response as it came."""

    status: int
    headers: dict[str, str]
    body: bytes


class Talk(NamedTuple):
    """What a client got, and how much it could send before the service hung up."""

    received: bytes
    sent: int

    @property
    def answers(self) -> list[Answer]:
        return list(answers_in(self.received))


class Transport(asyncio.Transport):
    """Keeps what is written to it."""

    def __init__(self) -> None:
        super().__init__()
        self.written = bytearray()
        self.closed = asyncio.Event()
        self.ended = asyncio.Event()
        self.reading = asyncio.Event()
        self.reading.set()

    def get_extra_info(self, name: str, default: Any = None) -> Any:  # noqa: ARG002 - a client from nowhere
        return default

    def write(self, data: bytes | bytearray | memoryview) -> None:
        self.written += data

    def is_closing(self) -> bool:
        return self.closed.is_set()

    def close(self) -> None:
        self.closed.set()

    abort = close

    def can_write_eof(self) -> bool:
        return True

    def write_eof(self) -> None:
        self.ended.set()

    def pause_reading(self) -> None:
        self.reading.clear()

    def resume_reading(self) -> None:
        self.reading.set()


class Wire:
    """A service whose connections are made here."""

    def __init__(
        self,
        base: KnowledgeBase,
        protocol: type[asyncio.Protocol] = HttpToolsProtocol,
        settings: Settings = Settings(),  # noqa: B008 - frozen
    ) -> None:
        config = server_config(replace(settings, log_requests=False), base)
        assert isinstance(config.http, partial)
        config.http = partial(Guard, protocol, *config.http.args[1:])  # type: ignore[assignment]
        config.log_config, config.access_log, config.log_level = None, False, "critical"
        config.load()
        self._config: uvicorn.Config = config

    def __call__(self, pieces: Iterable[bytes], is_ended: bool = True) -> Talk:
        """Send pieces of bytes and, if the client ends so, no more; return what came until the service hung up."""
        return asyncio.run(asyncio.wait_for(self._talk(pieces, is_ended), LONGEST_S))

    async def _talk(self, pieces: Iterable[bytes], is_ended: bool) -> Talk:
        transport, sent = Transport(), 0
        made: Any = self._config.http_protocol_class
        protocol = made(config=self._config, server_state=ServerState(), app_state={}, _loop=None)
        protocol.connection_made(transport)
        for piece in pieces:
            await _one_of(transport.reading, transport.closed)
            if transport.is_closing() or transport.ended.is_set():
                break
            protocol.data_received(piece)
            sent += len(piece)
            await asyncio.sleep(0)
        if is_ended and not transport.is_closing():
            await _one_of(transport.reading, transport.closed)
            protocol.eof_received()
        await _one_of(transport.closed, transport.ended)
        if not transport.is_closing():  # the service has said all; so has the client
            protocol.eof_received()
        await transport.closed.wait()
        protocol.connection_lost(None)
        return Talk(bytes(transport.written), sent)


async def _one_of(*events: asyncio.Event) -> None:
    if not any(event.is_set() for event in events):
        tasks = [asyncio.create_task(event.wait()) for event in events]
        await asyncio.wait(tasks, return_when=asyncio.FIRST_COMPLETED)
        for task in tasks:
            task.cancel()


def answers_in(received: bytes) -> Iterator[Answer]:
    """Read responses strictly, one behind the other; each says how long it is."""
    while received:
        head, end, rest = received.partition(b"\r\n\r\n")
        assert end, received
        first, *lines = head.decode().split("\r\n")
        version, status, _ = first.split(" ", 2)
        assert version == "HTTP/1.1"
        headers = {name.lower(): value for name, _, value in (line.partition(": ") for line in lines)}
        length = int(headers["content-length"])
        assert len(rest) >= length
        yield Answer(int(status), headers, rest[:length])
        received = rest[length:]
