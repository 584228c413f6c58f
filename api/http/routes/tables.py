"""/v1/tables and /v1/rows: the rows that answers cite.

Owns: their addresses and paging links. Does not own: the rows (`kb/report/answers/rows.py`).
"""

from __future__ import annotations

from typing import Annotated
from urllib.parse import quote, urlencode

from fastapi import FastAPI, Path, Query
from starlette.requests import Request
from starlette.responses import Response

from api.http.openapi.operations import ID_FORM, ID_PATTERN, WORD_FORM, Tag, in_media_types, reading
from api.http.problems.problem_kinds import INVALID_QUESTION, UNKNOWN_ID
from api.http.problems.problems import problem_of_question
from api.http.requests.strict_url import WHOLE
from api.http.responses.answers import MAY_BE_CACHED, cacheable
from api.http.responses.csv_answers import CSV, records_csv
from api.http.responses.media_types import Format, as_csv, response_media_type
from kb.knowledge_base import KnowledgeBase
from kb.store.faults import QuestionError
from schemas.answers.answers import RecordAnswer, RecordsAnswer, VersionAnswer
from schemas.questions.questions import PartId

LARGEST_PAGE = 200
USUAL_PAGE = 50
_LINK = {
    "description": "Addresses of the first page (rel=first) and of the next one (rel=next); the last page has no next.",
    "schema": {"type": "string"},
}


def add_table_routes(app: FastAPI, base: KnowledgeBase) -> None:
    """Add the routes of tables to an application."""
    kinds = (UNKNOWN_ID, INVALID_QUESTION)
    paging = reading("read_table", "Read a page of a table", Tag.TABLES, *kinds, may_be_absent=True)
    paging = in_media_types(paging, CSV)
    paging["responses"][200]["headers"] = {"Link": _LINK}

    @app.get(
        "/v1/tables", response_model=VersionAnswer, **reading("list_tables", "Which tables are there?", Tag.TABLES)
    )
    async def list_tables() -> Response:
        """List the tables with what they hold and how many rows they have."""
        return cacheable(base.tables())

    @app.get(
        "/v1/tables/{table}",
        response_model=RecordsAnswer,
        **paging,
    )
    async def read_table(
        request: Request,
        table: Annotated[str, WORD_FORM, Path(description="Name of the table, as /v1/tables lists it.")],
        family: Annotated[PartId | None, ID_FORM, Query(description="Only rows of this family.")] = None,
        after: Annotated[PartId | None, Query(pattern=ID_PATTERN, description="Only rows after this id.")] = None,
        limit: Annotated[int, Query(ge=1, le=LARGEST_PAGE, description="Most rows to return."), WHOLE] = USUAL_PAGE,
        form: Format = None,
    ) -> Response:
        """Read the rows of a table, sorted by id. The Link header names the first page and the next."""
        wanted = response_media_type(request, form)
        try:
            page = base.records(table, family, after, limit)
        except QuestionError as error:
            kind, status = (UNKNOWN_ID, 404) if error.field == "table" else (None, None)
            raise problem_of_question(error, kind, status) from None
        link = page_links(table, family, page.next, limit, form)
        if wanted == CSV:
            response = as_csv(records_csv(page), f"{table}-{page.kb_version}", MAY_BE_CACHED)
            response.headers["Link"] = link
            return response
        return cacheable(page, link)


def add_row_route(app: FastAPI, base: KnowledgeBase) -> None:
    """Add the route of single rows to an application."""

    @app.get(
        "/v1/rows/{kind}/{slug}",
        response_model=RecordAnswer,
        **reading("read_row", "Read one row by its id", Tag.TABLES, may_be_absent=True),
    )
    async def read_row(
        kind: Annotated[str, WORD_FORM, Path(description="First part of the id, such as tube.")],
        slug: Annotated[str, WORD_FORM, Path(description="Second part of the id.")],
    ) -> Response:
        """Read a row of any table with its source and, if it is a fitting, its ends."""
        try:
            return cacheable(base.record(f"{kind}/{slug}"))
        except QuestionError as error:
            raise problem_of_question(error, UNKNOWN_ID, 404) from None


def page_links(table: str, family: str | None, after: str | None, limit: int, form: str | None = None) -> str:
    """Return the Link header (RFC 8288) to the first page and to the one after this one, if there is one.

    >>> page_links("tubes", None, "tube/a", 5)
    '</v1/tables/tubes?limit=5>; rel="first", </v1/tables/tubes?after=tube%2Fa&limit=5>; rel="next"'
    """
    before = {"family": family} if family else {}
    behind = {"limit": str(limit)} | ({"format": form} if form else {})
    links = [_page_link(table, before | behind, "first")]
    if after is not None:
        links.append(_page_link(table, before | {"after": after} | behind, "next"))
    return ", ".join(links)


def _page_link(table: str, parameters: dict[str, str], relation: str) -> str:
    return f'</v1/tables/{quote(table)}?{urlencode(parameters)}>; rel="{relation}"'
