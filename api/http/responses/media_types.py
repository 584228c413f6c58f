"""The media types that a tabular answer comes in: JSON, or CSV for spreadsheets.

Owns: choosing the media type and sending it. Does not own: reading the Accept header
(`api/http/requests/negotiation.py`) or the columns (`api/http/responses/csv_answers.py`).
"""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import Query
from pydantic import WithJsonSchema
from starlette.requests import Request
from starlette.responses import Response

from api.http.problems.problem_kinds import NOT_ACCEPTABLE
from api.http.problems.problems import ProblemError
from api.http.requests.negotiation import preferred
from api.http.responses.answers import JSON
from api.http.responses.csv_answers import CSV

Format = Annotated[
    Literal["json", "csv"] | None,
    WithJsonSchema({"type": "string", "enum": ["json", "csv"]}),
    Query(alias="format", description="Form of the answer; without it, the Accept header decides."),
]


def response_media_type(request: Request, form: Literal["json", "csv"] | None) -> str:
    """Return the media type to answer in.

    Args:
        request: the request, whose Accept header decides if nothing else does.
        form: what the address says.

    Raises:
        ProblemError: if the request accepts neither.
    """
    if form is not None:
        return CSV if form == "csv" else JSON
    wanted = preferred(",".join(request.headers.getlist("accept")), (JSON, CSV))
    if wanted is None:
        raise ProblemError(NOT_ACCEPTABLE, f"This address answers as {JSON} or {CSV}.")
    return wanted


def as_csv(text: str, name: str, keep: str) -> Response:
    """Return a CSV answer that a browser saves under a name.

    Args:
        text: the CSV text with its header line.
        name: file name without its ending.
        keep: value of the Cache-Control header.
    """
    headers = {
        "Cache-Control": keep,
        "Vary": "Accept",
        "Content-Disposition": f'attachment; filename="{name}.csv"',
    }
    return Response(text, headers=headers, media_type=f"{CSV}; header=present")
