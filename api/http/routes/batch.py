"""/v1/batch/...: thousands of questions in one call, answered line by line in their order.

Owns: the addresses of batches and which questions can be asked so. Does not own: single answers, or the way of entries
in and out (`api/http/batch/request_stream.py`, `api/http/batch/response.py`).
"""

from __future__ import annotations

import asyncio
from functools import partial
from typing import Any

from fastapi import FastAPI
from starlette.requests import Request
from starlette.responses import Response

from api.http.batch.entries import Asking, answered
from api.http.batch.request_stream import RequestStream
from api.http.batch.response import NDJSON, BatchResponse
from api.http.openapi.batch_description import batch_answer, batch_body
from api.http.openapi.operations import batching
from api.http.problems.problem_kinds import INVALID_QUESTION, NOT_ACCEPTABLE
from api.http.problems.problems import REQUEST_ID, ProblemError
from api.http.requests.negotiation import preferred
from api.http.requests.request_body import read_json, refuse_declared, sent_as
from api.http.responses.answers import JSON
from api.http.settings import Settings
from kb.knowledge_base import KnowledgeBase
from schemas.answers.answers import BetweenAnswer, FindAnswer, PairAnswer, PartnersAnswer
from schemas.answers.loop import LoopAnswer
from schemas.answers.problems import FieldProblem
from schemas.questions.loop import LoopQuestion
from schemas.questions.questions import BetweenQuestion, FindQuestion, PairQuestion, PartnersQuestion

ASKINGS = (
    Asking(
        "pair",
        "Are the parts of each of these pairs compatible?",
        PairQuestion,
        PairAnswer,
        lambda base, question, _: base.pair(**dict(question)),
        32,
    ),
    Asking(
        "partners",
        "Which archetypes fit each of these parts?",
        PartnersQuestion,
        PartnersAnswer,
        lambda base, question, _: base.partners(**dict(question)),
        4,
    ),
    Asking(
        "between",
        "What goes between each of these pairs?",
        BetweenQuestion,
        BetweenAnswer,
        lambda base, question, _: base.between(**dict(question)),
        1,
    ),
    Asking(
        "find",
        "Which archetypes can each of these words mean?",
        FindQuestion,
        FindAnswer,
        lambda base, question, _: base.find(**dict(question)),
        8,
    ),
    Asking("loop", "Can each of these loops be assembled?", LoopQuestion, LoopAnswer, KnowledgeBase.loop_within, 1),
)


def add_batch_routes(app: FastAPI, base: KnowledgeBase) -> None:
    """Add the routes of batches to an application."""
    settings: Settings = app.state.settings
    slots = asyncio.Semaphore(settings.most_batches)
    for asking in ASKINGS:
        _add_batch_route(app, base, asking, slots)


def _add_batch_route(app: FastAPI, base: KnowledgeBase, asking: Asking, slots: asyncio.Semaphore) -> None:
    async def ask_batch(request: Request) -> Response:
        """Answer many questions in one call, in their order, each with an answer or a problem of its own."""
        settings: Settings = app.state.settings
        _require_acceptable(request)
        request_stream = await _request_stream(request, settings)
        name = request.scope.get(REQUEST_ID, "")
        answer = partial(answered, base, asking, longest_s=settings.longest_answer_s, request_id=name)
        return BatchResponse(request_stream, answer, asking.at_once, slots, settings.send_patience_s)

    app.router.add_api_route(
        asking.path,
        ask_batch,
        methods=["POST"],
        response_model=None,
        response_class=BatchResponse,
        status_code=200,
        openapi_extra={"requestBody": batch_body(asking, app.state.settings)},
        **batching(f"ask_{asking.word}_batch", asking.summary, batch_answer(asking)),
    )


async def _request_stream(request: Request, settings: Settings) -> RequestStream:
    """Return the questions: those of an array at once, those in lines as they come."""
    if sent_as(request.headers, (NDJSON, JSON)) == NDJSON:
        refuse_declared(request.headers, settings.largest_batch_bytes)
        return RequestStream(request)
    return RequestStream(request, _questions(await read_json(request), settings.most_batch_questions))


def _questions(value: Any, most: int) -> list[Any]:
    if not isinstance(value, list):
        raise _invalid("the body is no list", f"send a list of questions, or {NDJSON}")
    if not 0 < len(value) <= most:
        raise _invalid(f"the list has {len(value)} questions", f"send 1 to {most}")
    return value


def _invalid(what: str, fix: str) -> ProblemError:
    return ProblemError(INVALID_QUESTION, errors=[FieldProblem(field="", what=what, fix=fix)])


def _require_acceptable(request: Request) -> None:
    if preferred(",".join(request.headers.getlist("accept")), (NDJSON,)) is None:
        raise ProblemError(NOT_ACCEPTABLE, f"This address answers as {NDJSON}.")
