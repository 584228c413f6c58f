"""A connection that neither waits for ever nor answers in anything but problem documents.

Owns: patience with slow request heads, and the answer to bytes that are not HTTP. Does not own: requests that arrive
(`api/http/edge.py`) or slow bodies (`api/http/request_body.py`).
"""

from __future__ import annotations

import asyncio
from typing import Any

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

from api.http.problem_kinds import MALFORMED_REQUEST, REQUEST_TOO_SLOW, ProblemKind
from api.http.problems import ProblemError, problem_response


class PatientlyBoundedProtocol(H11Protocol):
    """The server's HTTP/1.1 connection, closed if a request head does not arrive in time."""

    _deadline: asyncio.TimerHandle | None = None

    def __init__(self, *args: Any, head_patience_s: float, **named: Any) -> None:
        super().__init__(*args, **named)
        self._patience_s = head_patience_s

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for the first request."""
        super().connection_made(transport)
        self._wait()

    def data_received(self, data: bytes) -> None:
        """Take bytes; whoever begins a request has to finish its head in time."""
        super().data_received(data)
        if self.conn.their_state is not h11.IDLE:
            self._stop_waiting()
        elif self._deadline is None:
            self._wait()

    def on_response_complete(self) -> None:
        """Go on to the next request, which may have begun to arrive."""
        super().on_response_complete()
        if self.conn.their_state is h11.IDLE and self.conn.trailing_data[0]:
            self._wait()

    def connection_lost(self, exc: Exception | None) -> None:
        """Stop waiting."""
        self._stop_waiting()
        super().connection_lost(exc)

    def send_400_response(self, msg: str) -> None:  # noqa: ARG002 - the server calls it so
        """Answer bytes that are not HTTP; `msg` is the server's own wording, which the document replaces."""
        self._stop_waiting()
        self._refuse(MALFORMED_REQUEST)

    def _wait(self) -> None:
        self._stop_waiting()
        self._deadline = self.loop.call_later(self._patience_s, self._refuse, REQUEST_TOO_SLOW)

    def _stop_waiting(self) -> None:
        if self._deadline is not None:
            self._deadline.cancel()
            self._deadline = None

    def _refuse(self, kind: ProblemKind) -> None:
        if self.transport.is_closing():
            return
        if self.conn.our_state in (h11.IDLE, h11.SEND_RESPONSE):
            response = problem_response(ProblemError(kind), {"path": ""})
            headers = [*response.raw_headers, (b"connection", b"close")]
            self.transport.write(self.conn.send(h11.Response(status_code=kind.status, headers=headers)))
            self.transport.write(self.conn.send(h11.Data(data=bytes(response.body))))
            self.transport.write(self.conn.send(h11.EndOfMessage()))
        self.transport.close()
