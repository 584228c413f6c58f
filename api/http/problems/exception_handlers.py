"""From every exception that a request can end in to a problem document.

Owns: the exception handlers. Does not own: the form of problems, or logging what nobody expected
(`api/http/responses/middleware.py`).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from api.http.problems.problem_kinds import INTERNAL_ERROR, INVALID_QUESTION, METHOD_NOT_ALLOWED, NOT_FOUND
from api.http.problems.problems import (
    ProblemError,
    as_parameter,
    problem_of_question,
    problem_of_spent,
    problem_response,
)
from api.http.requests.field_errors import field_problems
from kb.loops.deadline import BudgetSpentError
from kb.store.faults import QuestionError


def add_exception_handlers(app: FastAPI) -> None:
    """Make an application answer every refusal with a problem document."""
    app.add_exception_handler(ProblemError, _on_problem)
    app.add_exception_handler(QuestionError, _on_question)
    app.add_exception_handler(BudgetSpentError, _on_spent)
    app.add_exception_handler(RequestValidationError, _on_validation)
    app.add_exception_handler(HTTPException, _on_routing)
    app.add_exception_handler(Exception, _on_anything)


async def _on_problem(request: Request, error: Exception) -> Response:
    assert isinstance(error, ProblemError)
    return problem_response(error, request.scope)


async def _on_question(request: Request, error: Exception) -> Response:
    assert isinstance(error, QuestionError)
    named = as_parameter if request.method == "GET" else str
    return problem_response(problem_of_question(error, named=named), request.scope)


async def _on_spent(request: Request, error: Exception) -> Response:
    assert isinstance(error, BudgetSpentError)
    return problem_response(problem_of_spent(error), request.scope)


async def _on_validation(request: Request, error: Exception) -> Response:
    """Answer what the framework refuses: parameters, for bodies were read before it sees them."""
    assert isinstance(error, RequestValidationError)
    found = [{**one, "loc": one["loc"][1:]} for one in error.errors()]
    asked = {one["loc"][0]: one["input"] for one in found if one["type"] != "missing"}
    problem = ProblemError(INVALID_QUESTION, errors=field_problems(found, None, asked))
    return problem_response(problem, request.scope)


async def _on_routing(request: Request, error: Exception) -> Response:
    """Answer what the router itself refuses: no such path, or not with this method."""
    assert isinstance(error, HTTPException)
    if error.status_code == METHOD_NOT_ALLOWED.status:
        allow = ", ".join(_methods_at(request.app.routes, request.scope))
        if request.scope["method"] == "OPTIONS":
            return Response(status_code=204, headers={"Allow": allow})
        detail = f"{request.scope['method'][:20]} does not work here; {allow} do."
        return problem_response(ProblemError(METHOD_NOT_ALLOWED, detail, headers={"Allow": allow}), request.scope)
    if error.status_code == NOT_FOUND.status:
        return problem_response(ProblemError(NOT_FOUND), request.scope)
    raise error


async def _on_anything(request: Request, error: Exception) -> Response:  # noqa: ARG001 - the middleware logs it
    return problem_response(ProblemError(INTERNAL_ERROR), request.scope)


def _methods_at(routes: Sequence[BaseRoute], scope: Any) -> list[str]:
    """Return the methods of all routes with the request's path; the framework names those of the first one only."""
    there = (route for route in routes if isinstance(route, Route) and route.path_regex.match(scope["path"]))
    methods = {method for route in there for method in route.methods or ()}
    return sorted(methods | {"OPTIONS"} | ({"HEAD"} if "GET" in methods else set()))
