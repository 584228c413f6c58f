"""/v1/tables and /v1/rows: the rows that answers stand on.

Owns: their addresses and paging links. Does not own: the rows (`kb/records.py`).
"""

from __future__ import annotations

from typing import Annotated
from urllib.parse import quote, urlencode

from fastapi import FastAPI, Path, Query
from starlette.responses import Response

from api.http.answers import keepable
from api.http.operations import ID_FORM, ID_PATTERN, WORD_FORM, Tag, reading
from api.http.problem_kinds import INVALID_QUESTION, UNKNOWN_ID
from api.http.problems import problem_of_question
from kb.base import KnowledgeBase
from kb.faults import QuestionError
from schemas.answers import RecordAnswer, RecordsAnswer, VersionAnswer
from schemas.questions import PartId

LARGEST_PAGE = 200
USUAL_PAGE = 50
_LINK = {"description": "Address of the next page (rel=next); absent on the last one.", "schema": {"type": "string"}}


def add_table_routes(app: FastAPI, base: KnowledgeBase) -> None:
    """Add the routes of tables to an application."""
    kinds = (UNKNOWN_ID, INVALID_QUESTION)
    paging = reading("read_table", "Read a page of a table", Tag.TABLES, *kinds, may_be_absent=True)
    paging["responses"][200] = {"headers": {"Link": _LINK}}

    @app.get(
        "/v1/tables", response_model=VersionAnswer, **reading("list_tables", "Which tables are there?", Tag.TABLES)
    )
    async def list_tables() -> Response:
        """List the tables with what they hold and how many rows they have."""
        return keepable(base.describe())

    @app.get(
        "/v1/tables/{table}",
        response_model=RecordsAnswer,
        **paging,
    )
    async def read_table(
        table: Annotated[str, WORD_FORM, Path(description="Name of the table, as /v1/tables lists it.")],
        family: Annotated[PartId | None, ID_FORM, Query(description="Only rows of this family.")] = None,
        after: Annotated[PartId | None, Query(pattern=ID_PATTERN, description="Only rows after this id.")] = None,
        limit: Annotated[int, Query(ge=1, le=LARGEST_PAGE, description="Most rows to return.")] = USUAL_PAGE,
    ) -> Response:
        """Read the rows of a table, sorted by id. The Link header names the next page; the last one has none."""
        try:
            page = base.records(table, family, after, limit)
        except QuestionError as error:
            raise problem_of_question(error, UNKNOWN_ID, 404 if error.field == "table" else None) from None
        return keepable(page, next_link(table, family, page.next, limit))


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
            return keepable(base.record(f"{kind}/{slug}"))
        except QuestionError as error:
            raise problem_of_question(error, UNKNOWN_ID, 404) from None


def next_link(table: str, family: str | None, after: str | None, limit: int) -> str | None:
    """Return the Link header (RFC 8288) to the page after this one, `None` if this is the last one.

    >>> next_link("tubes", None, "tube/a", 5)
    '</v1/tables/tubes?after=tube%2Fa&limit=5>; rel="next"'
    """
    if after is None:
        return None
    query = urlencode(({"family": family} if family else {}) | {"after": after, "limit": limit})
    return f'</v1/tables/{quote(table)}?{query}>; rel="next"'
