"""A connection that neither waits for ever nor answers in anything but problem documents.

Owns: how many connections there may be, patience with slow request heads and with clients that do not take their
answer, the size of heads, how far ahead requests are read, the answer to bytes that are not HTTP, and which requests
are answered at once, without a task of their own. Does not own: requests that arrive (`api/http/edge.py`), what is
answered at once (`api/http/plain_way.py`) or slow bodies (`api/http/request_body.py`).
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from httptools import parse_url
from uvicorn._types import ASGI3Application
from uvicorn.protocols.http.flow_control import HIGH_WATER_LIMIT, FlowControl
from uvicorn.protocols.http.httptools_impl import STATUS_LINE, HttpToolsProtocol, RequestResponseCycle

from api.http.plain_way import PlainRequest, read_head
from api.http.problem_kinds import BUSY, MALFORMED_REQUEST, REQUEST_TOO_SLOW, ProblemKind
from api.http.problems import ProblemError, problem_response
from api.http.ready_answers import head_lines
from api.http.traffic import Traffic

RETRY_AFTER_S = 2
_BETWEEN_NAME_AND_VALUE = len(": \r\n")
_READING = {b"GET": "GET", b"HEAD": "HEAD"}
_SLICE_BYTES = 4096  # read at a time: a request of 30 bytes takes 2 kB until it is answered


class _HeldFlow(FlowControl):
    """Flow control that reads no more while bytes wait that were read already."""

    def __init__(self, transport: asyncio.Transport, is_holding: Callable[[], bool]) -> None:
        super().__init__(transport)
        self._is_holding = is_holding

    def resume_reading(self) -> None:
        """Read on, unless enough waits here."""
        if not self._is_holding():
            super().resume_reading()


class PatientlyBoundedProtocol(HttpToolsProtocol):
    """The server's HTTP/1.1 connection, closed if a request head does not arrive in time or does not end.

    A timer runs only while a head is incomplete or an answer is not taken: a request that arrives in one piece and
    whose answer is taken at once costs none. Requests that a client sends ahead of their answers wait as bytes.
    """

    _deadline: asyncio.TimerHandle | None = None
    _last_call: asyncio.TimerHandle | None = None
    _in_head = False
    _head_bytes = 0
    _new_bytes = 0
    _has_answered = False
    _held = b""
    _running: RequestResponseCycle | None = None

    def __init__(
        self,
        *args: Any,
        head_patience_s: float,
        send_patience_s: float,
        largest_head_bytes: int,
        most_connections: int,
        traffic: Traffic,
        **named: Any,
    ) -> None:
        super().__init__(*args, **named)
        self._patience_s, self._send_patience_s = head_patience_s, send_patience_s
        self._most_bytes, self._most_connections = largest_head_bytes, most_connections
        self._traffic = traffic
        self._at_once = getattr(self.app, "at_once", None)

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for the first request, or send away who is one too many."""
        super().connection_made(transport)
        self.flow = _HeldFlow(transport, self._is_holding)
        self._traffic.connections += 1
        if len(self.connections) > self._most_connections:
            self._refuse(BUSY, {"Retry-After": str(RETRY_AFTER_S)})
        else:
            self._wait()

    def data_received(self, data: bytes) -> None:
        """Take bytes, but read no further while answers to earlier requests wait for their turn."""
        if self._is_holding() or len(data) > _SLICE_BYTES:
            self._held += data
            self._read_held()
        else:
            self._read(data)

    def _is_holding(self) -> bool:
        return bool(self._held or self.pipeline)

    def _read_held(self) -> None:
        """Read what is held, slice by slice, as far as it gets."""
        held, self._held = self._held, b""
        place = 0
        while place < len(held) and not self.pipeline and not self.transport.is_closing():
            place += _SLICE_BYTES
            self._read(held[place - _SLICE_BYTES : place])
        if self.transport.is_closing():
            return
        self._held = held[place:]
        if self._is_holding():
            self.flow.pause_reading()

    def _read_on(self) -> None:
        """Go on with what is held, and with what comes after it if all of it was read and no large body waits."""
        self._read_held()
        if not self.transport.is_closing() and len(self.cycle.body) <= HIGH_WATER_LIMIT:
            self.flow.resume_reading()

    def _read(self, data: bytes) -> None:
        """Read bytes; whoever begins a request has to finish its head in time and within its size."""
        self._new_bytes = len(data)
        self._has_answered = False
        if self._in_head:
            self._head_bytes += len(data)
        super().data_received(data)
        if self.transport.is_closing():
            return
        if self._in_head and self._head_bytes > self._most_bytes:
            self._refuse(MALFORMED_REQUEST)
        elif self.pipeline:
            return  # the rest of a head is not read now, so nobody can be late with it
        elif self._in_head or (self._is_idle() and not self._has_answered):
            self._wait()

    def on_message_begin(self) -> None:
        """Begin to read a head; from now on this connection is not idle."""
        self._unset_keepalive_if_required()
        super().on_message_begin()
        self._in_head, self._head_bytes = True, self._new_bytes

    def on_headers_complete(self) -> None:
        """Start the request, unless its head is too large or does not name one host."""
        if self._deadline is not None:
            self._stop_waiting()
        if self._head_bytes > self._most_bytes and self._size_of_head() > self._most_bytes:
            raise ValueError("the head is too large")
        hosts = [name for name, _ in self.headers if name == b"host"]
        if len(hosts) != 1 and (hosts or self.parser.get_http_version() != "1.0"):
            raise ValueError("a request names one host")
        self._in_head = False
        if not self._answer_at_once():
            super().on_headers_complete()

    def on_message_complete(self) -> None:
        """End a request; what else came with it belongs to the next head, in what size nobody counts."""
        self._new_bytes = 0
        if self.cycle is not None:  # there is none if all requests so far were answered at once
            super().on_message_complete()

    def on_response_complete(self) -> None:
        """Go on to the next request, which may have begun to arrive."""
        super().on_response_complete()
        if self.transport.is_closing():
            self._call_last()
        elif self._held and not self.pipeline:
            self.loop.call_soon(self._read_on)
        elif self._in_head and not self._is_holding():
            self._unset_keepalive_if_required()
            self._wait()

    def pause_writing(self) -> None:
        """Begin to wait for a client that does not take its answer."""
        super().pause_writing()
        self._call_last()

    def resume_writing(self) -> None:
        """Go on: the client has taken what was waiting for it."""
        if not self.transport.is_closing():
            self._stop_calling()
        super().resume_writing()

    def timeout_keep_alive_handler(self) -> None:
        """Close an idle connection, for good even if the rest of an answer is never taken."""
        super().timeout_keep_alive_handler()
        self._call_last()

    def shutdown(self) -> None:
        """Close at the end of the server, likewise."""
        super().shutdown()
        if self.transport.is_closing():
            self._call_last()

    def connection_lost(self, exc: Exception | None) -> None:
        """Stop waiting."""
        self._stop_waiting()
        self._stop_calling()
        self._traffic.connections -= 1
        self._held = b""
        if self._running is not None and not self._running.response_complete:  # it need not be the newest one
            self._running.disconnected = True
            self._running.message_event.set()
        super().connection_lost(exc)

    def send_400_response(self, msg: str) -> None:  # noqa: ARG002 - the server calls it so
        """Answer bytes that are not HTTP; `msg` is the server's own wording, which the document replaces."""
        self._refuse(MALFORMED_REQUEST)

    def _answer_at_once(self) -> bool:
        """Answer a plain question without a task of its own; return whether that was possible.

        Requests that came together with one before them take turns with other connections, as tasks do.
        """
        method = _READING.get(self.parser.get_method())
        if self._at_once is None or method is None or not self._may_answer():
            return False
        address = parse_url(self.url)
        server_lines = head_lines(self.server_state.default_headers)
        head = read_head(self.headers)
        response = self._at_once(PlainRequest(method, address.path, address.query or b"", head, server_lines))
        if response is None:
            return False
        self.transport.write(response)
        self._has_answered = True
        self.on_response_complete()
        return True

    def _may_answer(self) -> bool:
        """Return whether nothing is under way or waiting here, and nothing but an answer is wished for."""
        parser = self.parser
        return (
            self._new_bytes > 0
            and self._is_idle()
            and not self.flow.write_paused
            and not self.transport.is_closing()
            and not self.expect_100_continue
            and parser.get_http_version() == "1.1"
            and parser.should_keep_alive()
            and not parser.should_upgrade()
        )

    def _start_asgi_task(self, cycle: RequestResponseCycle, app: ASGI3Application) -> None:
        self._running = cycle
        super()._start_asgi_task(cycle, app)

    def _size_of_head(self) -> int:
        return len(self.url) + sum(len(name) + len(value) + _BETWEEN_NAME_AND_VALUE for name, value in self.headers)

    def _is_idle(self) -> bool:
        """Return whether no answer is being made: then bytes that lead to none have to lead to one soon."""
        return self.cycle is None or self.cycle.response_complete

    def _wait(self) -> None:
        if self._deadline is None:
            self._deadline = self.loop.call_later(self._patience_s, self._refuse, REQUEST_TOO_SLOW)

    def _stop_waiting(self) -> None:
        if self._deadline is not None:
            self._deadline.cancel()
            self._deadline = None

    def _call_last(self) -> None:
        if self._last_call is None and self.transport.get_write_buffer_size():
            self._last_call = self.loop.call_later(self._send_patience_s, self.transport.abort)

    def _stop_calling(self) -> None:
        if self._last_call is not None:
            self._last_call.cancel()
            self._last_call = None

    def _refuse(self, kind: ProblemKind, headers: Mapping[str, str] = MappingProxyType({})) -> None:
        self._stop_waiting()
        if self.transport.is_closing():
            return
        if self._is_idle():
            response = problem_response(ProblemError(kind, headers=headers), {"path": ""})
            sent = [*response.raw_headers, (b"x-content-type-options", b"nosniff"), (b"connection", b"close")]
            head = b"".join(b"%b: %b\r\n" % header for header in sent)
            self._traffic.note_refusal(kind.slug)
            self.transport.write(STATUS_LINE[kind.status] + head + b"\r\n" + bytes(response.body))
        self.transport.close()
        self._call_last()
