"""The answers of a batch on their way out.

Owns: sending answers as fast as the client takes them and no faster, and how many batches are answered at a time.
Does not own: reading questions (`api/http/batch/request_stream.py`) or answering them (`api/http/batch/entries.py`).
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable

from starlette.responses import Response
from starlette.types import Receive, Scope, Send

from api.http.batch.request_stream import Entry, RequestStream
from api.http.problems.problem_kinds import BUSY, NOT_JSON
from api.http.problems.problems import ProblemError
from api.http.responses.answers import NO_STORE

NDJSON = "application/x-ndjson"
RETRY_AFTER_S = 2
_LOG = logging.getLogger(__name__)

Answerer = Callable[[int, list[Entry]], bytes]


class BatchResponse(Response):
    """Answers entries as they come: nothing is kept that has been sent, and nothing is made ahead of the client."""

    media_type = NDJSON

    def __init__(
        self, request_stream: RequestStream, answer: Answerer, at_once: int, slots: asyncio.Semaphore, patience_s: float
    ) -> None:
        """Prepare to answer.

        Args:
            request_stream: gives the entries.
            answer: index of the first entry, entries -> their answers.
            at_once: most entries to answer in one turn.
            slots: one is taken as long as the batch is answered.
            patience_s: how long a client may take for the next piece [s].
        """
        super().__init__(headers={"Cache-Control": NO_STORE})
        del self.headers["content-length"]  # nobody knows it yet
        self._request_stream, self._answer, self._at_once = request_stream, answer, at_once
        self._slots, self._patience_s = slots, patience_s

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:  # noqa: ARG002 - the form of ASGI
        """Send all answers.

        Raises:
            ProblemError: if there is no question, or no slot for another batch.
        """
        if self._slots.locked():
            raise ProblemError(BUSY, headers={"Retry-After": str(RETRY_AFTER_S), "Connection": "close"})
        async with self._slots, self._request_stream:
            try:
                await self._send_all(send)
            except TimeoutError:  # the answer stays open, and the server cuts the connection
                _LOG.info("a client did not take its batch within %g s", self._patience_s)

    async def _send_all(self, send: Send) -> None:
        entries = await self._request_stream.take(self._at_once)
        if not entries:
            raise ProblemError(NOT_JSON, "The batch is empty; send one question a line.")
        await self._sent(send, {"type": "http.response.start", "status": 200, "headers": self.raw_headers})
        sent = 0
        while entries and not self._request_stream.is_left:
            body = await asyncio.to_thread(self._answer, sent, entries)
            await self._sent(send, {"type": "http.response.body", "body": body, "more_body": True})
            sent += len(entries)
            entries = await self._request_stream.take(self._at_once)
        await self._sent(send, {"type": "http.response.body", "body": b"", "more_body": False})

    async def _sent(self, send: Send, message: dict[str, object]) -> None:
        async with asyncio.timeout(self._patience_s):
            await send(message)
