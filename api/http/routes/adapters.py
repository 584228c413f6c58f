"""/v1/between: what goes between two parts?

Owns: the addresses of the question. Does not own: its answer (`kb/compatibility/adapters.py`).
"""

from __future__ import annotations

from typing import Annotated

from fastapi import FastAPI, Query
from starlette.responses import Response

from api.http.openapi.operations import ID_FORM, asking, asking_by_address
from api.http.problems.problem_kinds import BUSY
from api.http.requests.strict_url import WHOLE
from api.http.responses.answers import cacheable, question_from, uncached
from kb.knowledge_base import KnowledgeBase
from schemas.answers.answers import BetweenAnswer
from schemas.questions.questions import MOST_RESULTS, BetweenQuestion, PartId

_LIMIT = BetweenQuestion.model_fields["limit"]


def add_between_routes(app: FastAPI, base: KnowledgeBase) -> None:
    """Add the routes of the between question to an application."""

    @app.post(
        "/v1/between", response_model=BetweenAnswer, **asking("ask_between", "What goes between these two parts?", BUSY)
    )
    async def ask_between(question: BetweenQuestion) -> Response:
        """List the fittings, alone or chained, that lead from one part to the other, best first."""
        return uncached(await app.state.long.ask(lambda _: base.between(**dict(question))))

    @app.get(
        "/v1/between",
        response_model=BetweenAnswer,
        **asking_by_address("read_between", "What goes between the parts with these ids?", BUSY),
    )
    async def read_between(
        a: Annotated[PartId, ID_FORM, Query(description="Id of one part.")],
        b: Annotated[PartId, ID_FORM, Query(description="Id of the other part.")],
        limit: Annotated[int, Query(ge=1, le=MOST_RESULTS, description="Most chains to list."), WHOLE] = _LIMIT.default,
    ) -> Response:
        """List the fittings that lead from one archetype to the other, best first."""
        question = question_from(BetweenQuestion, {"a": a, "b": b, "limit": limit})
        return cacheable(await app.state.long.ask(lambda _: base.between(**dict(question))))
