"""The body of a request, read without trusting it.

Owns: media type, size, patience, and refusing a question that cannot be asked. Does not own: the JSON inside
(`api/http/requests/strict_json.py`) or reading the question (`api/http/requests/questions.py`).
"""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from typing import Any, TypeVar

from pydantic import BaseModel
from starlette.datastructures import Headers
from starlette.requests import Request

from api.http.problems.problem_kinds import (
    BODY_TOO_LARGE,
    INVALID_QUESTION,
    NOT_JSON,
    REQUEST_TOO_SLOW,
    UNSUPPORTED_MEDIA_TYPE,
)
from api.http.problems.problems import ProblemError
from api.http.requests.echo import clipped
from api.http.requests.questions import WrongFieldsError, read_question
from api.http.requests.strict_json import JsonError, TooManyError, parse_json
from api.http.settings import Settings
from schemas.answers.problems import FieldProblem

JSON = "application/json"
Question = TypeVar("Question", bound=BaseModel)
_CLOSE = {"Connection": "close"}


async def read_json(request: Request) -> Any:
    """Return the JSON value in the body of a request.

    Args:
        request: a request whose body has not been read.

    Raises:
        ProblemError: if the body is not marked as JSON, is too large or too slow, or is not usable JSON.
    """
    sent_as(request.headers, (JSON,))
    return usable_json(await read_bytes(request))


def usable_json(body: bytes) -> Any:
    """Return the JSON value that bytes hold.

    Raises:
        ProblemError: if they hold no usable JSON, or more of it than any question can use.
    """
    try:
        return parse_json(body)
    except JsonError as error:
        kind = INVALID_QUESTION if isinstance(error, TooManyError) else NOT_JSON
        raise ProblemError(kind, errors=[FieldProblem(field="", what=error.what, fix=error.fix)]) from None


def posed(model: type[Question], value: Any) -> Question:
    """Return the question that a JSON value poses.

    Args:
        model: the question's model.
        value: the JSON value.

    Raises:
        ProblemError: if it has not that form.
    """
    try:
        return read_question(model, value)
    except WrongFieldsError as error:
        raise ProblemError(INVALID_QUESTION, errors=error.problems) from None


async def read_bytes(request: Request) -> bytes:
    """Return the body of a request; stop as soon as it is too large, whatever Content-Length says.

    Raises:
        ProblemError: if the body is too large or too slow.
    """
    settings: Settings = request.app.state.settings
    most = settings.largest_body_bytes
    refuse_declared(request.headers, most)
    body = bytearray()
    try:
        async with asyncio.timeout(settings.body_patience_s):
            async for chunk in request.stream():
                body += chunk
                if len(body) > most:
                    raise _too_large(most)
    except TimeoutError:
        raise ProblemError(REQUEST_TOO_SLOW, headers=_CLOSE) from None
    return bytes(body)


def refuse_declared(headers: Headers, most: int) -> None:
    """Refuse a body that is larger than it may be by its own account.

    Args:
        headers: headers of the request.
        most: largest body [bytes].

    Raises:
        ProblemError: if Content-Length says that the body is larger.
    """
    declared = headers.get("content-length", "")
    if declared.isdecimal() and int(declared[:20]) > most:
        raise _too_large(most)


def sent_as(headers: Headers, media_types: Sequence[str]) -> str:
    """Return the media type in which a body is sent.

    Args:
        headers: headers of the request.
        media_types: those that are read here, the usual one first.

    Raises:
        ProblemError: if it is another one, is compressed or is not UTF-8.
    """
    media_type, _, parameters = headers.get("content-type", "").partition(";")
    media_type = media_type.strip().lower()
    charset = parameters.strip().lower().replace('"', "")
    coding = headers.get("content-encoding", "identity")
    if media_type not in media_types or charset not in {"", "charset=utf-8"} or coding != "identity":
        given = clipped(headers.get("content-type", "")) or "missing"
        detail = f"Content-Type is {given}; send {' or '.join(media_types)} in UTF-8, not compressed."
        raise ProblemError(UNSUPPORTED_MEDIA_TYPE, detail, headers={"Accept": ", ".join(media_types)})
    return media_type


def _too_large(most: int) -> ProblemError:
    return ProblemError(BODY_TOO_LARGE, f"The body may have {most} bytes.", headers=_CLOSE)
