"""A route that reads its request strictly before the framework sees it.

Owns: putting strict body and query reading in front of a handler. Does not own: the reading itself
(`api/http/requests/request_body.py`, `api/http/requests/strict_url.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from typing import Any

from fastapi import FastAPI
from fastapi.routing import APIRoute
from pydantic import BaseModel
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import Receive, Scope, Send

from api.http.openapi.operations import condition_parameter
from api.http.requests.request_body import posed, read_json
from api.http.requests.strict_url import number_or_text, read_query, refuse_unknown

_PARAMETERS = "wetted.parameters"  # where a request's scope holds its query parameters by name
Handler = Callable[[Request], Coroutine[Any, Any, Response]]


class ReadRequest(Request):
    """A request whose body has been read and poses a question."""

    def __init__(self, request: Request, question: BaseModel) -> None:
        super().__init__(request.scope, request.receive)
        self._question = question

    async def body(self) -> bytes:
        """Return a mark that there is a body; the framework only asks whether there is one."""
        return b"read"

    async def json(self) -> Any:
        """Return the question, which the framework takes as it is."""
        return self._question


class StrictRoute(APIRoute):
    """Refuses unknown and repeated query parameters, unreadable addresses and unusable bodies."""

    open_prefix = ""

    def get_route_handler(self) -> Handler:
        """Return the framework's handler with strict reading before it."""
        handle = super().get_route_handler()
        known = frozenset(field.alias for field in self.dependant.query_params)
        open_prefix = self.open_prefix
        model: Any = self.body_field.field_info.annotation if self.body_field is not None else None

        async def read_then_handle(request: Request) -> Response:
            given = request.scope[_PARAMETERS] = read_query(request.scope["query_string"])
            refuse_unknown(given, known, open_prefix)
            if model is not None:
                request = ReadRequest(request, posed(model, await read_json(request)))
            return await handle(request)

        return read_then_handle


class ConditionRoute(StrictRoute):
    """A route that takes circumstances as parameters named `condition.<quantity>` beside its own."""

    open_prefix = "condition."


class TextRoute(ConditionRoute):
    """A condition route whose own parameters are texts that its handler checks.

    The framework would check them before: that takes as long as answering.
    """

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Take the route's settings; the framework serves only what lacks a parameter, and reports it."""
        super().__init__(*args, **kwargs)
        framework, answer = self.app, self.endpoint
        known = frozenset(field.alias for field in self.dependant.query_params)

        async def app(scope: Scope, receive: Receive, send: Send) -> None:
            given = scope[_PARAMETERS] = read_query(scope["query_string"])
            refuse_unknown(given, known, self.open_prefix)
            asked = {name: given[name] for name in known if name in given}
            if len(asked) == len(known):
                response = await answer(Request(scope, receive, send), **asked)
                await response(scope, receive, send)
            else:
                await framework(scope, receive, send)

        self.app = app


def add_condition_route(
    app: FastAPI,
    path: str,
    read: Callable[..., Coroutine[Any, Any, Response]],
    answer: Any,
    described: dict[str, Any],
    route: type[ConditionRoute] = ConditionRoute,
) -> None:
    """Add a question that is asked by address, with circumstances as parameters.

    Args:
        app: the application.
        path: where the question is asked.
        read: answers it.
        answer: model of the answer.
        described: settings that describe it.
        route: how its parameters are read.
    """
    app.router.add_api_route(
        path,
        read,
        methods=["GET"],
        response_model=answer,
        route_class_override=route,
        openapi_extra={"parameters": [condition_parameter()]},
        **described,
    )


def stated_conditions(request: Request) -> dict[str, float | str]:
    """Return the circumstances in the address of a request, by quantity; what is no number stays text."""
    prefix = ConditionRoute.open_prefix
    given: dict[str, str] = request.scope[_PARAMETERS]
    return {
        name.removeprefix(prefix): number_or_text(value) for name, value in given.items() if name.startswith(prefix)
    }
