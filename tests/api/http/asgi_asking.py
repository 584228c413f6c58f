"""Requests as exact bytes, past any client that would tidy them up, and a strict look at problem documents."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import unquote

from starlette.types import ASGIApp, Message

from api.http.problems.problem_kinds import PROBLEM_KINDS
from api.http.problems.problems import MEDIA_TYPE
from schemas.answers.problems import Problem

LONGEST_PROBLEM_BYTES = 8_000


@dataclass(frozen=True, slots=True)
class Raw:
    """A request as exact bytes."""

    method: str
    path: bytes
    query: bytes = b""
    chunks: tuple[bytes, ...] = ()
    headers: tuple[tuple[bytes, bytes], ...] = ((b"content-type", b"application/json"),)


@dataclass(frozen=True, slots=True)
class Reply:
    """What came back; `header_list` holds headers that were sent twice twice."""

    status: int
    headers: Mapping[str, str]
    body: bytes
    header_list: tuple[tuple[str, str], ...] = ()

    def json(self) -> Any:
        return json.loads(self.body)


class Asker:
    """Sends exact bytes to an ASGI application."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    def __call__(self, raw: Raw) -> Reply:
        return asyncio.run(asyncio.wait_for(self.send(raw), timeout=10))

    async def send(self, raw: Raw) -> Reply:
        sent: list[Message] = []
        waiting: list[Message] = [
            {"type": "http.request", "body": chunk, "more_body": number < len(raw.chunks)}
            for number, chunk in enumerate(raw.chunks, 1)
        ] or [{"type": "http.request", "body": b"", "more_body": False}]

        async def receive() -> Message:
            return waiting.pop(0) if waiting else await asyncio.Future()  # stay until the answer is there

        async def send(message: Message) -> None:
            sent.append(message)

        scope = {
            "type": "http",
            "asgi": {"version": "3.0"},
            "http_version": "1.1",
            "method": raw.method,
            "scheme": "http",
            "path": unquote(raw.path.decode("latin-1")),
            "raw_path": raw.path,
            "query_string": raw.query,
            "root_path": "",
            "headers": list(raw.headers),
            "client": ("test", 1),
            "server": ("test", 80),
        }
        await self._app(scope, receive, send)
        headers = tuple((name.decode().lower(), value.decode()) for name, value in sent[0]["headers"])
        body = b"".join(message.get("body", b"") for message in sent[1:])
        return Reply(sent[0]["status"], dict(headers), body, headers)


def require_problem(status: int, headers: Mapping[str, str], body: bytes) -> Problem:
    """Return the problem document, having held every promise about it."""
    assert headers["content-type"] == MEDIA_TYPE
    assert headers["cache-control"] == "no-store"
    assert headers["x-content-type-options"] == "nosniff"
    assert len(body) < LONGEST_PROBLEM_BYTES
    problem = Problem.from_json(body)
    kind = PROBLEM_KINDS[problem.type.removeprefix("/problems/")]
    assert problem.title == kind.title
    assert problem.status == status
    assert problem.detail
    assert b"Traceback" not in body
    for error in problem.errors:
        assert error.what
        assert error.fix
    return problem


def posted(path: str, body: bytes | str | object, *, content_type: str = "application/json") -> Raw:
    """Return a POST of a body: bytes as they are, anything else as JSON."""
    content = body if isinstance(body, bytes) else json.dumps(body).encode()
    return Raw("POST", path.encode(), chunks=(content,), headers=((b"content-type", content_type.encode()),))


def got(address: str, method: str = "GET", headers: Sequence[tuple[bytes, bytes]] = ()) -> Raw:
    """Return a GET of an address."""
    path, _, query = address.encode().partition(b"?")
    return Raw(method, path, query, headers=tuple(headers))
