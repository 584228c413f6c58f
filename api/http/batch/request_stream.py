"""The questions of a batch on their way in.

Owns: reading the body ahead of the answers, its limits, and noticing that the client went away. Does not own: cutting
lines (`api/http/batch/lines.py`), or questions and answers (`api/http/batch/entries.py`).
The body is read whatever becomes of the answers: a client that sends everything before it reads anything would
otherwise wait for us while we wait for it. So memory is bounded by the largest body, not by the answers.
"""

from __future__ import annotations

import asyncio
import contextlib
from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass
from types import TracebackType
from typing import Any, TypeAlias

from starlette.requests import ClientDisconnect, Request

from api.http.batch.lines import LineCutter
from api.http.problems.problem_kinds import BODY_TOO_LARGE, REQUEST_TOO_SLOW
from api.http.problems.problems import ProblemError
from api.http.settings import Settings


@dataclass(frozen=True, slots=True)
class Parsed:
    """A question that has been read from JSON already."""

    value: Any


Entry: TypeAlias = bytes | Parsed | ProblemError


class RequestStream:
    """What has arrived of a batch and waits for its answer. Reads in the background between `with` and its end."""

    def __init__(self, request: Request, given: Iterable[Any] | None = None) -> None:
        """Prepare to read.

        Args:
            request: a request; its body has not been read if nothing is given.
            given: the questions, if they have been read from the body already.
        """
        self._request = request
        self._settings: Settings = request.app.state.settings
        self._waiting: deque[Entry] = deque(Parsed(value) for value in given or ())
        self._count = len(self._waiting)
        self._has_all = given is not None
        self._news = asyncio.Event()
        self._reading: asyncio.Task[None] | None = None
        self.is_left = False

    async def __aenter__(self) -> RequestStream:
        self._reading = asyncio.create_task(self._read())
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        assert self._reading is not None
        self._reading.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await self._reading

    async def take(self, most: int) -> list[Entry]:
        """Return the next entries in order, as soon as there are any; none at the end.

        Args:
            most: most entries to return.
        """
        while not self._waiting and not self._has_all:
            self._news.clear()
            await self._news.wait()
        return [self._waiting.popleft() for _ in range(min(most, len(self._waiting)))]

    async def _read(self) -> None:
        try:
            if not self._has_all:
                async with asyncio.timeout(self._settings.batch_patience_s):
                    await self._read_lines()
        except TimeoutError:
            self._put(ProblemError(REQUEST_TOO_SLOW))
        except ProblemError as fault:  # of what came over the wire
            self._put(fault)
        except ClientDisconnect:
            self.is_left = True
        finally:
            self._has_all = True
            self._news.set()
        while not self.is_left:
            self.is_left = (await self._request.receive())["type"] == "http.disconnect"

    async def _read_lines(self) -> None:
        """Read to the end of the body; what is beyond a limit is thrown away, so that nobody gets stuck sending it."""
        cutter, size, most = LineCutter(self._settings.largest_body_bytes), 0, self._settings.largest_batch_bytes
        async for piece in self._request.stream():
            if self._has_all:
                continue
            size += len(piece)
            self._put_lines(cutter.feed(piece))
            if size > most and not self._has_all:
                self._stop(f"A batch may have {most} bytes; what follows was not read.")
        if not self._has_all:
            self._put_lines(cutter.end())

    def _put_lines(self, lines: Iterable[bytes | None]) -> None:
        longest, most = self._settings.largest_body_bytes, self._settings.most_batch_questions
        for line in lines:
            if self._count == most:
                self._stop(f"A batch may have {most} questions; what follows was not read.")
                return
            self._put(line if line is not None else ProblemError(BODY_TOO_LARGE, f"A line may have {longest} bytes."))

    def _stop(self, detail: str) -> None:
        self._put(ProblemError(BODY_TOO_LARGE, detail))
        self._has_all = True

    def _put(self, entry: Entry) -> None:
        self._waiting.append(entry)
        self._count += 1
        self._news.set()
