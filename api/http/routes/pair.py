"""/v1/pair: are two parts compatible?

Owns: the addresses of the question. Does not own: its answer (`kb/compatibility/pair.py`).
"""

from __future__ import annotations

from typing import Annotated

from fastapi import FastAPI, Query
from pydantic import ValidationError
from starlette.requests import Request
from starlette.responses import Response

from api.http.openapi.operations import ID_FORM, NAMES_FORM, asking, asking_by_address
from api.http.requests.strict_route import TextRoute, add_condition_route, stated_conditions
from api.http.responses.answers import cacheable, question_from, uncached
from kb.knowledge_base import KnowledgeBase
from schemas.answers.answers import PairAnswer
from schemas.questions.questions import PairQuestion, PartId

LONGEST_MET = 4_000  # characters of an address


def add_pair_routes(app: FastAPI, base: KnowledgeBase) -> None:
    """Add the routes of the pair question to an application."""

    async def read_pair(
        request: Request,
        a: Annotated[PartId, ID_FORM, Query(description="Id of one part.")],
        b: Annotated[PartId, ID_FORM, Query(description="Id of the other part.")],
        met: Annotated[
            str,
            NAMES_FORM,
            Query(
                max_length=LONGEST_MET,
                description="Requirements that you state to be met, with commas between them.",
            ),
        ] = "",
    ) -> Response:
        """Judge two archetypes by their ids; circumstances are parameters named `condition.<quantity>`."""
        conditions = stated_conditions(request)
        try:
            answer = base.pair(a, b, conditions, _listed(met))  # type: ignore[arg-type]
        except ValidationError:
            question_from(
                PairQuestion, {"a": a, "b": b, "conditions": conditions, "met": _listed(met)}
            )  # says what is wrong, by field
            raise
        return cacheable(answer)

    described = asking_by_address("read_pair", "Are the parts with these ids compatible?")
    add_condition_route(app, "/v1/pair", read_pair, PairAnswer, described, TextRoute)

    @app.post("/v1/pair", response_model=PairAnswer, **asking("ask_pair", "Are these two parts compatible?"))
    async def ask_pair(question: PairQuestion) -> Response:
        """Judge two parts with reasons, numbers and sources. A part is an id or described by its spec sheet."""
        return uncached(base.pair(**dict(question)))


def _listed(met: str) -> list[str]:
    return [one.strip() for one in met.split(",")] if met else []
