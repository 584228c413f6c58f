"""Answers of the knowledge base as HTTP responses.

Owns: writing an answer once, and how long it may be kept. Does not own: the answer, or errors
(`api/http/problems/problems.py`).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, TypeAlias, TypeVar

from pydantic import BaseModel
from starlette.responses import Response

from api.http.problems.problem_kinds import INVALID_QUESTION
from api.http.problems.problems import ProblemError, as_parameter
from api.http.requests.questions import WrongFieldsError, read_question
from schemas.answers.base import AnswerModel

MAY_BE_CACHED = "public"  # the middleware adds for how long, and the tag to ask by
NO_STORE = "no-store"
JSON = "application/json"

RawHeaders: TypeAlias = tuple[tuple[bytes, bytes], ...]
_TYPE = b"content-type", JSON.encode()
_CACHEABLE: RawHeaders = ((b"cache-control", MAY_BE_CACHED.encode()), _TYPE)
_UNCACHED: RawHeaders = ((b"cache-control", NO_STORE.encode()), _TYPE)

Question = TypeVar("Question", bound=BaseModel)


def uncached(answer: AnswerModel) -> Response:
    """Return an answer that nobody keeps, as POST and changing states need it."""
    return _json(answer, _UNCACHED)


def cacheable(answer: AnswerModel, link: str | None = None) -> Response:
    """Return an answer that anyone may keep for a while.

    Args:
        answer: the answer; it depends on nothing but the address and the tables.
        link: value of the Link header.
    """
    response = _json(answer, _CACHEABLE)
    if link is not None:
        response.headers["Link"] = link
    return response


def _json(answer: AnswerModel, headers: RawHeaders) -> Response:
    """Return an answer with headers that are ready to be sent, beside that of its length."""
    response = Response(answer.to_json_bytes())
    response.raw_headers += headers
    return response


def question_from(model: type[Question], values: dict[str, Any]) -> Question:
    """Return the question that query parameters ask.

    Args:
        model: the question's model.
        values: field name -> value.

    Raises:
        ProblemError: if the values are no valid question.
    """
    try:
        return read_question(model, values)
    except WrongFieldsError as error:
        renamed = [replace(problem, field=as_parameter(problem.field)) for problem in error.problems]
        raise ProblemError(INVALID_QUESTION, errors=renamed) from None
