"""/v1/find: what can spec-sheet words mean?

Owns: the addresses of the question. Does not own: its answer (`kb/parts/search/search.py`).
"""

from __future__ import annotations

from typing import Annotated

from fastapi import FastAPI, Query
from starlette.responses import Response

from api.http.openapi.operations import asking, asking_by_address, one_of
from api.http.requests.strict_url import WHOLE
from api.http.responses.answers import cacheable, question_from, uncached
from kb.knowledge_base import KnowledgeBase
from schemas.answers.answers import FindAnswer
from schemas.questions.questions import MOST_RESULTS, FindQuestion, Word

_LIMIT = FindQuestion.model_fields["limit"]


def add_find_routes(app: FastAPI, base: KnowledgeBase) -> None:
    """Add the routes of the find question to an application."""

    @app.post("/v1/find", response_model=FindAnswer, **asking("ask_find", "Which archetypes can these words mean?"))
    async def ask_find(question: FindQuestion) -> Response:
        """Read words as a spec sheet writes them (`3/8 x 5/8 tube`, `G 1/4`) and list what they can mean."""
        return uncached(base.find(**dict(question)))

    @app.get(
        "/v1/find",
        response_model=FindAnswer,
        **asking_by_address("read_find", "Which archetypes can the words in the address mean?"),
    )
    async def read_find(
        words: Annotated[Word, Query(description="Words as a spec sheet writes them.")],
        kind: Annotated[str | None, one_of(FindQuestion, "kind"), Query(description="Only parts of this kind.")] = None,
        limit: Annotated[
            int, Query(ge=1, le=MOST_RESULTS, description="Most candidates to list."), WHOLE
        ] = _LIMIT.default,
    ) -> Response:
        """Read words as a spec sheet writes them and list what they can mean, likeliest first."""
        values = {"words": words, "kind": kind, "limit": limit}
        return cacheable(base.find(**dict(question_from(FindQuestion, values))))
