"""/v1/partners: which archetypes fit a part?

Owns: the addresses of the question. Does not own: its answer (`kb/compatibility/partners.py`).
"""

from __future__ import annotations

from typing import Annotated

from fastapi import FastAPI, Query
from starlette.responses import Response

from api.http.openapi.operations import ID_FORM, asking, asking_by_address, one_of
from api.http.requests.strict_url import WHOLE
from api.http.responses.answers import cacheable, question_from, uncached
from kb.knowledge_base import KnowledgeBase
from schemas.answers.answers import PartnersAnswer
from schemas.questions.questions import MOST_RESULTS, PartId, PartnersQuestion
from schemas.verdict import Verdict

_VERDICT = "|".join(Verdict)
_VERDICTS = rf"^({_VERDICT})(,({_VERDICT})){{0,{len(Verdict) - 1}}}$"
_KIND = PartnersQuestion.model_fields["kind"]
_LIMIT = PartnersQuestion.model_fields["limit"]
_USUAL_VERDICTS = ",".join(PartnersQuestion.model_fields["verdicts"].default)


def add_partners_routes(app: FastAPI, base: KnowledgeBase) -> None:
    """Add the routes of the partners question to an application."""

    @app.post(
        "/v1/partners",
        response_model=PartnersAnswer,
        **asking("ask_partners", "Which archetypes of a kind fit this part?"),
    )
    async def ask_partners(question: PartnersQuestion) -> Response:
        """List the archetypes of a kind that fit a part, best first, each with its verdict and reason."""
        return uncached(base.partners(**dict(question)))

    @app.get(
        "/v1/partners",
        response_model=PartnersAnswer,
        **asking_by_address("read_partners", "Which archetypes of a kind fit the part with this id?"),
    )
    async def read_partners(
        part: Annotated[PartId, ID_FORM, Query(description="Id of the part.")],
        kind: Annotated[str, one_of(PartnersQuestion, "kind"), Query(description="What to look for.")] = _KIND.default,
        verdicts: Annotated[
            str, Query(pattern=_VERDICTS, description="Verdicts to list, separated by commas.")
        ] = _USUAL_VERDICTS,
        limit: Annotated[
            int, Query(ge=1, le=MOST_RESULTS, description="Most partners to list."), WHOLE
        ] = _LIMIT.default,
    ) -> Response:
        """List the archetypes of a kind that fit an archetype, best first."""
        values = {"part": part, "kind": kind, "verdicts": verdicts.split(","), "limit": limit}
        return cacheable(base.partners(**dict(question_from(PartnersQuestion, values))))
