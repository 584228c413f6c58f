"""Problem documents (RFC 9457): the one shape of every error answer.

Owns: turning what went wrong into a problem document. Does not own: its form (`schemas/answers/problems.py`), the list
of types (`api/http/problems/problem_kinds.py`) or noticing that something is wrong.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from urllib.parse import quote

from starlette.responses import Response
from starlette.types import Scope

from api.http.problems.problem_kinds import INVALID_QUESTION, TOOK_TOO_LONG, UNKNOWN_ID, ProblemKind
from api.http.requests.echo import LONGEST_ECHO, clipped
from api.http.requests.field_errors import MOST_PROBLEMS
from kb.loops.deadline import BudgetSpentError
from kb.store.faults import QuestionError
from schemas.answers.problems import FieldProblem, Problem

MEDIA_TYPE = "application/problem+json"
REQUEST_ID = "wetted.request_id"  # where a request's scope holds its name
_PLACE_IN_LIST = re.compile(r"\.[0-9]+$")


class ProblemError(Exception):
    """A request that ends in a problem document.

    Attributes:
        kind: type of the problem.
        detail: what is wrong with this request.
        errors: what is wrong, place by place.
        status: HTTP status code; the usual one of the kind unless given.
        headers: headers that the response needs.
    """

    def __init__(
        self,
        kind: ProblemKind,
        detail: str = "",
        errors: Sequence[FieldProblem] = (),
        status: int | None = None,
        headers: Mapping[str, str] | None = None,
    ) -> None:
        self.kind = kind
        self.errors = tuple(errors)
        self.detail = detail or _detail_of(self.errors) or kind.meaning
        self.status = status or kind.status
        self.headers = dict(headers or {})
        super().__init__(self.detail)


def _detail_of(errors: Sequence[FieldProblem]) -> str:
    if not errors:
        return ""
    first = f"{errors[0].field}: {errors[0].what}." if errors[0].field else f"{errors[0].what}."
    rest = len(errors) - 1
    others = ", and there may be others" if len(errors) >= MOST_PROBLEMS else ""
    return f"{first} {rest} more under errors{others}." if rest else first


def problem_of_question(
    error: QuestionError,
    kind: ProblemKind | None = None,
    status: int | None = None,
    named: Callable[[str], str] = str,
) -> ProblemError:
    """Return a knowledge base's refusal of a question as a problem.

    Args:
        error: the refusal.
        kind: type of the problem; by default an unknown id if the refusal names near ones.
        status: HTTP status code, if not the usual one of the kind.
        named: how the asker calls a field of the question.
    """
    kind = kind or (UNKNOWN_ID if error.nearest else INVALID_QUESTION)
    return ProblemError(kind, errors=[_field_problem(one, named) for one in error.every], status=status)


def _field_problem(error: QuestionError, named: Callable[[str], str]) -> FieldProblem:
    what = clipped(error.what, 2 * LONGEST_ECHO)
    return FieldProblem(field=clipped(named(error.field)), what=what, fix=error.fix, nearest=error.nearest)


def problem_of_spent(error: BudgetSpentError) -> ProblemError:
    """Return that an answer took too long as a problem.

    Args:
        error: what the knowledge base says.
    """
    detail = f"{error.allowed_s:g} s were not enough; {error.stage} would have come next. {TOOK_TOO_LONG.remedy}"
    return ProblemError(TOOK_TOO_LONG, detail)


def problem_response(error: ProblemError, scope: Scope) -> Response:
    """Return the response for a problem.

    Args:
        error: the problem.
        scope: the request's ASGI scope; its path becomes the instance.
    """
    problem = problem_document(error, scope.get("path", ""), scope.get(REQUEST_ID, ""))
    headers = {"Cache-Control": "no-store", **error.headers}
    return Response(problem.to_json_bytes(), error.status, headers, MEDIA_TYPE)


def problem_document(error: ProblemError, path: str, request_id: str = "") -> Problem:
    """Return the document that states a problem.

    Args:
        error: the problem.
        path: path of the request it happened in.
        request_id: name of that request.
    """
    return Problem(
        type=error.kind.path,
        title=error.kind.title,
        status=error.status,
        detail=error.detail,
        instance=quote(clipped(path)),
        request_id=request_id,
        errors=error.errors[:MOST_PROBLEMS],
    )


def as_parameter(field: str) -> str:
    """Return the query parameter that a field of a question is asked with.

    >>> as_parameter("conditions.coolant-temperature"), as_parameter("limit"), as_parameter("parts.1")
    ('condition.coolant-temperature', 'limit', 'parts')
    """
    if field.startswith("conditions."):
        return "condition." + field.removeprefix("conditions.")
    return _PLACE_IN_LIST.sub("", field)
