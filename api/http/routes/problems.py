"""/problems: every type of problem explained, where its `type` points to.

Owns: the addresses and the plain pages. Does not own: the explanations (`api/http/problems/problem_kinds.py`).
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from typing import Annotated

from fastapi import FastAPI, Path
from starlette.requests import Request
from starlette.responses import Response

from api.http.openapi.operations import WORD_FORM, Tag, reading
from api.http.openapi.pages import HTML, TEXT_HEAD, page
from api.http.problems.problem_kinds import PROBLEM_KINDS, UNKNOWN_ID, ProblemKind
from api.http.problems.problems import ProblemError
from api.http.requests.echo import clipped
from api.http.requests.field_names import nearest_names
from api.http.responses.answers import JSON, MAY_BE_CACHED
from schemas.answers.base import AnswerModel, Described
from schemas.answers.problems import FieldProblem

_AS_PAGE = {200: {"content": {HTML: {"schema": {"type": "string"}}}}}


@dataclass(frozen=True, slots=True, kw_only=True)
class ProblemType(AnswerModel):
    """A type of problem, explained."""

    type: Annotated[str, Described("The type as problem documents carry it.", examples=["/problems/unknown-id"])]
    title: str
    status: Annotated[int, Described("Usual HTTP status code.")]
    meaning: str
    remedy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ProblemTypes(AnswerModel):
    """All types of problems."""

    problems: tuple[ProblemType, ...]


def add_problem_routes(app: FastAPI) -> None:
    """Add the explanations of problems to an application."""
    all_settings = reading("list_problems", "Which problems are there?", Tag.SERVICE)
    one_settings = reading("explain_problem", "What does this problem mean?", Tag.SERVICE, may_be_absent=True)
    for settings in (all_settings, one_settings):
        settings["responses"] |= _AS_PAGE

    @app.get("/problems", response_model=ProblemTypes, **all_settings)
    async def list_problems(request: Request) -> Response:
        """List every type of problem, as JSON or, for browsers, as a page."""
        if _wants_page(request):
            return problems_page()
        return _as_json(all_problems())

    @app.get("/problems/{slug}", response_model=ProblemType, **one_settings)
    async def explain_problem(
        request: Request, slug: Annotated[str, WORD_FORM, Path(description="Last part of the problem's type.")]
    ) -> Response:
        """Explain a type of problem, as JSON or, for browsers, as a page."""
        kind = PROBLEM_KINDS.get(slug) or _unknown(slug)
        return problem_page(kind) if _wants_page(request) else _as_json(explained(kind))


def all_problems() -> ProblemTypes:
    """Return every type of problem, explained."""
    return ProblemTypes(problems=tuple(map(explained, PROBLEM_KINDS.values())))


def problems_page() -> Response:
    """Return the page of all types of problems."""
    return page("Problems", "\n".join(_as_html(kind, "h2") for kind in PROBLEM_KINDS.values()), TEXT_HEAD)


def problem_page(kind: ProblemKind) -> Response:
    """Return the page of one type of problem."""
    return page(kind.title, _as_html(kind, "h1"), TEXT_HEAD)


def _wants_page(request: Request) -> bool:
    return HTML in request.headers.get("accept", "")


def explained(kind: ProblemKind) -> ProblemType:
    """Return a type of problem, explained."""
    return ProblemType(type=kind.path, title=kind.title, status=kind.status, meaning=kind.meaning, remedy=kind.remedy)


def _as_json(answer: AnswerModel) -> Response:
    headers = {"Cache-Control": MAY_BE_CACHED, "Vary": "Accept"}
    return Response(answer.to_json_bytes(), headers=headers, media_type=JSON)


def _as_html(kind: ProblemKind, heading: str) -> str:
    return (
        f"<{heading}>{escape(kind.title)}</{heading}>\n<p><code>{kind.path}</code>, status {int(kind.status)}</p>\n"
        f"<p>{escape(kind.meaning)}</p>\n<p>{escape(kind.remedy)}</p>"
    )


def _unknown(slug: str) -> ProblemKind:
    near = nearest_names(clipped(slug), tuple(PROBLEM_KINDS))
    what = f"no problem is called {clipped(slug)!r}"
    raise ProblemError(
        UNKNOWN_ID, errors=[FieldProblem(field="slug", what=what, fix="see /problems", nearest=near)], status=404
    )
