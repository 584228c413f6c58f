"""A guard before the server's HTTP protocol: it passes on whole, sound pieces of requests, one request at a time.

Owns: how many connections there may be, patience with clients, one account of bytes over every phase of a message, and
that whatever is wrong on the wire ends in a problem document. Does not own: the grammar
(`api/http/server/framing.py`), slow bodies that somebody reads (`api/http/requests/request_body.py`) or writing the
document (`api/http/responses/middleware.py`). The protocol behind it may be either of those that the server offers:
only methods of `asyncio.Protocol` are called.
"""

from __future__ import annotations

import asyncio
import itertools
from collections.abc import Callable, Generator, Iterator
from functools import partial
from types import SimpleNamespace
from typing import Any, cast

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.http.problems.problem_kinds import BUSY, REQUEST_TOO_SLOW
from api.http.problems.problems import ProblemError
from api.http.responses.metrics import Metrics
from api.http.server.framing import Head, broken, read_chunk, read_head
from api.http.settings import Settings

FAULT = "wetted.fault"  # where a request's scope holds what was wrong with it on the wire
RETRY_AFTER_S = 2
DATA_FOR_ONE = 6  # bytes of data that earn one byte of framing beside them
LAST_WORDS_S = 1.0  # so long a client that is still sending may read why it was refused ...
LAST_WORDS_BYTES = 1 << 20  # ... while so much is taken from it: a reset would cost it the answer
_CHUNKS_IN_A_TURN = 64  # small chunks alone would hold everybody up for seconds
_GUARD = "wetted.guard"
_REFUSAL = b"GET / HTTP/1.1\r\nHost: -\r\nConnection: close\r\n\r\n"  # in the place of what is no request
_NO_REQUEST = {"method": "NONE", "path": "", "raw_path": b""}


class Guard(asyncio.Protocol):
    """One connection. What cannot be passed on yet waits as bytes, and no more is read meanwhile."""

    fault: ProblemError | None = None
    _then: Callable[[], None] | None = None
    _timer: asyncio.TimerHandle | None = None
    _last_call: asyncio.TimerHandle | None = None
    is_in_body = _is_answering = _is_chunked = _is_at_end = _is_over = _is_lost = False

    def __init__(
        self, inner: Callable[..., asyncio.Protocol], settings: Settings, metrics: Metrics, **named: Any
    ) -> None:
        """Put a guard before a protocol.

        Args:
            inner: makes the server's protocol.
            settings: what the operator chose.
            metrics: counts connections and refusals.
            **named: what the server gives its protocols; `app_state` becomes the state in the scope of every request.
        """
        self._inner = inner(**{**named, "app_state": {**named["app_state"], _GUARD: self}})
        self._settings, self._metrics = settings, metrics
        self._received, self._reader = bytearray(), self._read_requests()
        self._holders: set[str] = set()  # who wants nothing to be read just now

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for the first request, or send away who is one too many."""
        self._transport, self._loop = transport, asyncio.get_running_loop()
        self._metrics.connections += 1
        seen_inside = SimpleNamespace(
            write=transport.write,
            close=self.end,
            is_closing=lambda: self._is_over or transport.is_closing(),
            get_extra_info=transport.get_extra_info,
            pause_reading=partial(self._hold, "inner"),
            resume_reading=partial(self._release, "inner"),
        )
        self._inner.connection_made(cast(asyncio.Transport, seen_inside))
        if self._metrics.connections > self._settings.most_connections:
            self._refuse(ProblemError(BUSY, headers={"Retry-After": str(RETRY_AFTER_S)}))
        else:
            self._wait(self._settings.head_patience_s, self._lose_patience)

    def data_received(self, data: bytes) -> None:
        """Take bytes."""
        self._received += data
        self._read_on()

    def eof_received(self) -> bool:
        """Answer what was asked, though nothing more will come."""
        self._is_at_end = True
        self._read_on()
        return True

    def connection_lost(self, exc: Exception | None) -> None:
        """Let go of everything."""
        self._is_over = self._is_lost = True
        self._metrics.connections -= 1
        self._inner.connection_lost(exc)
        self._inner, self._received, self._reader, self._then = asyncio.Protocol(), bytearray(), iter(()), None
        for timer in (self._timer, self._last_call):
            if timer is not None:
                timer.cancel()

    def pause_writing(self) -> None:
        """Begin to wait for a client that does not take its answer."""
        self._inner.pause_writing()
        self._wait_for_client()

    def resume_writing(self) -> None:
        """Go on: the client has taken what was waiting for it."""
        self._inner.resume_writing()
        if self._last_call is not None and not self._transport.is_closing():
            self._last_call.cancel()
            self._last_call = None

    def seen(self, scope: Scope) -> Scope:
        """Return the scope of a request as the application is to see it: with the fault, if there is one."""
        if self.fault is None:
            return scope
        return {**scope, FAULT: self.fault, **({} if self.is_in_body else _NO_REQUEST)}

    def answered(self) -> None:
        """Go on behind an answer."""
        self._is_answering = False
        if self.fault is not None:  # its traceback leads back here: memory would stay until cycles are looked for
            self.fault.__traceback__ = None
        if self._is_over:
            return
        if self.fault is not None:
            self.end()
            return
        settings = self._settings  # nobody reads what is still to come of a body
        self._wait(settings.head_patience_s if self.is_in_body else settings.keep_alive_s, self._hang_up)
        if self._received or self._is_at_end:
            self._ask_for_turn()

    def end(self) -> None:
        """Hang up as soon as all is sent, but let a client that is still sending read it first."""
        is_sending = (self.is_in_body or self.fault is not None) and not self._is_at_end
        if self._is_over or not is_sending or not self._transport.can_write_eof():
            self._hang_up()
            return
        self._is_over, self._reader = True, self._discard()
        self._transport.write_eof()
        for who in tuple(self._holders):
            self._release(who)
        self._wait(LAST_WORDS_S, self._hang_up)

    def _hold(self, who: str) -> None:
        self._holders.add(who)
        self._transport.pause_reading()

    def _release(self, who: str) -> None:
        if who in self._holders:
            self._holders.remove(who)
            if not self._holders and not self._transport.is_closing():
                self._transport.resume_reading()

    def _ask_for_turn(self) -> None:
        self._hold("turn")
        self._loop.call_soon(self._take_turn)

    def _take_turn(self) -> None:
        if not self._is_lost:
            self._release("turn")
            self._read_on()

    def _read_on(self) -> None:
        try:
            next(self._reader, None)
        except ProblemError as fault:
            self._refuse(fault)

    def _read_requests(self) -> Iterator[None]:
        """Pass on one request after another; yields wherever it has to wait."""
        most = self._settings.largest_head_bytes
        while True:
            while self._is_answering or not self._received:
                if self._received:
                    self._hold("turn")
                elif self._is_at_end and not self._is_answering:
                    self._hang_up()
                yield
            head = read_head(self._received, most)
            if head is None:
                head = yield from self._rest_of_head(most)
            del self._received[: head.size]
            self.is_in_body = head.is_chunked or head.length > 0
            self._ask(head.text)
            if self.is_in_body:
                self._account, self._is_chunked = most - head.size, head.is_chunked
                yield from self._read_chunks() if head.is_chunked else self._read_data(head.length)
                self.is_in_body = False
                if not self._is_answering:
                    self._wait(self._settings.keep_alive_s, self._hang_up)

    def _rest_of_head(self, most: int) -> Generator[None, None, Head]:
        """Return a head as soon as it is whole."""
        self._wait(self._settings.head_patience_s, self._lose_patience)
        while (head := read_head(self._received, most)) is None:
            if self._is_at_end and not self._received.replace(b"\r\n", b"").removeprefix(b"\r"):
                self._hang_up()  # blank lines alone are no request
                yield
            yield from self._more()
        return head

    def _read_chunks(self) -> Iterator[None]:
        """Pass on the data of chunks; the lines between them draw on the account, and data refills it."""
        most_data = max(self._settings.largest_body_bytes, self._settings.largest_batch_bytes)
        self._received[:0] = b"\r\n"  # so that all chunks begin alike
        for number in itertools.count(1):
            while (chunk := read_chunk(self._received, self._account, most_data)) is None:
                yield from self._more()
            del self._received[: chunk.size]
            if not chunk.length:
                break
            earned = self._account - chunk.size + chunk.length // DATA_FOR_ONE
            self._account = min(earned, self._settings.largest_head_bytes)
            yield from self._read_data(chunk.length)
            if number % _CHUNKS_IN_A_TURN == 0:
                self._ask_for_turn()
                yield
        self._inner.data_received(b"0\r\n\r\n")

    def _read_data(self, length: int) -> Iterator[None]:
        """Pass on data as far as it has come; what belongs to a chunk, as a whole chunk."""
        while length:
            while not (data := bytes(self._received[:length])):
                yield from self._more()
            del self._received[: len(data)]
            length -= len(data)
            self._inner.data_received(b"%x\r\n%b\r\n" % (len(data), data) if self._is_chunked else data)

    def _more(self) -> Iterator[None]:
        if self._is_at_end:
            raise broken("The request ended before it was whole.")
        yield

    def _discard(self) -> Iterator[None]:
        taken = 0
        while True:
            taken += len(self._received)
            self._received.clear()
            if self._is_at_end and self._is_over:
                self._hang_up()
            if taken > LAST_WORDS_BYTES:
                self._hold("turn")
            yield

    def _ask(self, head: bytes) -> None:
        self._is_answering, self._then = True, None
        self._inner.data_received(head)

    def _refuse(self, fault: ProblemError) -> None:
        """Have the application tell a fault in its turn, and read no further."""
        fault.headers["Connection"] = "close"
        self.fault, self._reader = fault, self._discard()
        if not self.is_in_body:
            self._metrics.note_refusal(fault.kind.slug)
            self._ask(_REFUSAL)
        elif self._is_answering:  # one more byte wakes who waits for the body, and who gets the fault instead
            self._inner.data_received(b"1\r\n \r\n" if self._is_chunked else b" ")
        else:
            self.end()

    def _lose_patience(self) -> None:
        self._refuse(ProblemError(REQUEST_TOO_SLOW))

    def _hang_up(self) -> None:
        self._is_over = True
        self._transport.close()
        self._wait_for_client()

    def _wait(self, seconds: float, then: Callable[[], None]) -> None:
        """Do something after a time, in the place of what was waited for until now; one timer serves many waits."""
        self._due_s, self._then = self._loop.time() + seconds, then
        if self._timer is None or self._timer.when() > self._due_s:
            if self._timer is not None:
                self._timer.cancel()
            self._timer = self._loop.call_later(seconds, self._ring)

    def _ring(self) -> None:
        self._timer, then, left_s = None, self._then, self._due_s - self._loop.time()
        if then is not None:
            self._wait(left_s, then) if left_s > 0 else then()

    def _wait_for_client(self) -> None:
        """Cut the connection if the client does not take in time what is sent to it."""
        if self._last_call is None and not self._is_lost:
            self._last_call = self._loop.call_later(self._settings.send_patience_s, self._transport.abort)


class Guarded:
    """The application behind guarded connections: it is reported of faults, and they are reported when it has
    answered.
    """

    def __init__(self, app: ASGIApp) -> None:
        """Prepare an application.

        Args:
            app: finds in the scope under `FAULT` what it has to refuse a request for.
        """
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one event of the server."""
        guard: Guard | None = scope.get("state", {}).get(_GUARD)
        if guard is None:
            await self.app(scope, receive, send)
            return

        async def sound() -> Message:
            message = await receive()
            if guard.fault is not None and message["type"] == "http.request":
                raise guard.fault
            return message

        try:
            await self.app(guard.seen(scope), sound if guard.is_in_body else receive, send)
        finally:
            guard.answered()
