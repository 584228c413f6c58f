"""/v1/matrix: how do all members of two families get on?

Owns: the addresses of the question, and its forms JSON and CSV. Does not own: its answer
(`kb/compatibility/materials/ranking.py`).
"""

from __future__ import annotations

from typing import Annotated

from fastapi import FastAPI, Query
from pydantic_core import to_json
from starlette.requests import Request
from starlette.responses import Response

from api.http.openapi.operations import FAMILY_FORM, asking, asking_by_address, in_media_types
from api.http.problems.problem_kinds import BUSY
from api.http.requests.strict_route import add_condition_route, stated_conditions
from api.http.responses.answers import JSON, MAY_BE_CACHED, NO_STORE, question_from
from api.http.responses.csv_answers import CSV, matrix_csv
from api.http.responses.media_types import Format, as_csv, response_media_type
from kb.knowledge_base import KnowledgeBase
from schemas.answers.answers import MatrixAnswer
from schemas.questions.questions import MatrixQuestion, PartId


def add_matrix_routes(app: FastAPI, base: KnowledgeBase) -> None:
    """Add the routes of the matrix question to an application."""

    @app.post(
        "/v1/matrix",
        response_model=MatrixAnswer,
        **in_media_types(asking("ask_matrix", "How do all members of two families get on?", BUSY), CSV),
    )
    async def ask_matrix(request: Request, question: MatrixQuestion, form: Format = None) -> Response:
        """Judge every member of one family of materials, fluids or additives with every member of another."""
        wanted = response_media_type(request, form)
        return _written(await app.state.long.ask(lambda _: base.matrix(**dict(question))), wanted, NO_STORE)

    async def read_matrix(
        request: Request,
        rows: Annotated[PartId, FAMILY_FORM, Query(description="Family whose members are the rows.")],
        columns: Annotated[PartId, FAMILY_FORM, Query(description="Family whose members are the columns.")],
        form: Format = None,
    ) -> Response:
        """Judge every member of one family with every member of another; circumstances: `condition.<quantity>`."""
        wanted = response_media_type(request, form)
        values = {"rows": rows, "columns": columns, "conditions": stated_conditions(request)}
        question = question_from(MatrixQuestion, values)
        return _written(await app.state.long.ask(lambda _: base.matrix(**dict(question))), wanted, MAY_BE_CACHED)

    described = asking_by_address("read_matrix", "How do all members of these two families get on?", BUSY)
    add_condition_route(app, "/v1/matrix", read_matrix, MatrixAnswer, in_media_types(described, CSV))


def _written(answer: MatrixAnswer, media_type: str, keep: str) -> Response:
    if media_type == CSV:
        return as_csv(matrix_csv(answer), f"matrix-{answer.kb_version}", keep)
    return Response(to_json(answer), headers={"Cache-Control": keep, "Vary": "Accept"}, media_type=JSON)
