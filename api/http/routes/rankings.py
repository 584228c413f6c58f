"""/v1/fluids and /v1/materials: which fluids are compatible with materials, and which materials are compatible with a
fluid?

Owns: the addresses of the questions. Does not own: their answers (`kb/compatibility/materials/ranking.py`).
"""

from __future__ import annotations

from typing import Annotated

from fastapi import FastAPI, Query
from starlette.requests import Request
from starlette.responses import Response

from api.http.openapi.operations import (
    FAMILY_FORM,
    FLUID_FORM,
    IDS_FORM,
    asking,
    asking_by_address,
    listed,
)
from api.http.problems.problem_kinds import BUSY
from api.http.requests.strict_route import add_condition_route, stated_conditions
from api.http.requests.strict_url import WHOLE
from api.http.responses.answers import cacheable, question_from, uncached
from kb.knowledge_base import KnowledgeBase
from schemas.answers.answers import SuitableAnswer
from schemas.questions.questions import MOST_RESULTS, PartId, SuitableFluidsQuestion, SuitableMaterialsQuestion

_MOST_FLUIDS = SuitableFluidsQuestion.model_fields["limit"].default
_MOST_MATERIALS = SuitableMaterialsQuestion.model_fields["limit"].default


def add_fluids_routes(app: FastAPI, base: KnowledgeBase) -> None:
    """Add the routes of the question for fluids to an application."""

    @app.post(
        "/v1/fluids",
        response_model=SuitableAnswer,
        **asking("ask_fluids", "Which fluids are compatible with these materials or parts?", BUSY),
    )
    async def ask_fluids(question: SuitableFluidsQuestion) -> Response:
        """List the coolants, best first, by compatibility with all the materials, with what was added to them."""
        return uncached(await app.state.long.ask(lambda _: base.fluids(**dict(question))))

    async def read_fluids(
        request: Request,
        parts: Annotated[str, IDS_FORM, Query(description="Ids of materials or parts, separated by commas.")],
        additives: Annotated[str | None, IDS_FORM, Query(description="Ids of additives, separated by commas.")] = None,
        limit: Annotated[int, Query(ge=1, le=MOST_RESULTS, description="Most fluids to list."), WHOLE] = _MOST_FLUIDS,
    ) -> Response:
        """List the coolants compatible with all these materials; circumstances are `condition.<quantity>`."""
        values = {
            "parts": listed(parts),
            "additives": listed(additives),
            "conditions": stated_conditions(request),
            "limit": limit,
        }
        question = question_from(SuitableFluidsQuestion, values)
        return cacheable(await app.state.long.ask(lambda _: base.fluids(**dict(question))))

    described = asking_by_address(
        "read_fluids", "Which fluids are compatible with the materials or parts with these ids?", BUSY
    )
    add_condition_route(app, "/v1/fluids", read_fluids, SuitableAnswer, described)


def add_materials_routes(app: FastAPI, base: KnowledgeBase) -> None:
    """Add the routes of the question for materials to an application."""

    @app.post(
        "/v1/materials",
        response_model=SuitableAnswer,
        **asking("ask_materials", "Which materials are compatible with this fluid?", BUSY),
    )
    async def ask_materials(question: SuitableMaterialsQuestion) -> Response:
        """List the materials, best first, by how they stand a fluid, given by id or by its label."""
        return uncached(await app.state.long.ask(lambda _: base.materials(**dict(question))))

    async def read_materials(
        request: Request,
        fluid: Annotated[PartId, FLUID_FORM, Query(description="Id of the fluid.")],
        family: Annotated[PartId | None, FAMILY_FORM, Query(description="Only materials of this family.")] = None,
        limit: Annotated[
            int, Query(ge=1, le=MOST_RESULTS, description="Most materials to list."), WHOLE
        ] = _MOST_MATERIALS,
    ) -> Response:
        """List the materials that stand a fluid; circumstances are parameters named `condition.<quantity>`."""
        values = {"fluid": fluid, "family": family, "conditions": stated_conditions(request), "limit": limit}
        question = question_from(SuitableMaterialsQuestion, values)
        return cacheable(await app.state.long.ask(lambda _: base.materials(**dict(question))))

    described = asking_by_address("read_materials", "Which materials are compatible with the fluid with this id?", BUSY)
    add_condition_route(app, "/v1/materials", read_materials, SuitableAnswer, described)
