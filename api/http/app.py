"""The HTTP service as an ASGI application.

Owns: putting the routes together around one knowledge base. Does not own: what a route does, or the server
(`api/http/server/serve.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from fastapi import FastAPI
from starlette.types import ASGIApp, Receive, Scope, Send

from api.http.openapi.deprecations import DEPRECATED, Deprecation
from api.http.openapi.docs import add_docs_routes
from api.http.openapi.openapi import describer
from api.http.problems.exception_handlers import add_exception_handlers
from api.http.requests.strict_route import StrictRoute
from api.http.responses.cors import cross_origin
from api.http.responses.logs import RequestLog
from api.http.responses.long_questions import LongQuestions
from api.http.responses.metrics import Metrics
from api.http.responses.middleware import ServiceMiddleware
from api.http.responses.response_cache import ResponseCache
from api.http.routes.adapters import add_between_routes
from api.http.routes.batch import add_batch_routes
from api.http.routes.loop import add_loop_routes
from api.http.routes.matrix import add_matrix_routes
from api.http.routes.mix import add_mix_routes
from api.http.routes.operating import add_operating_routes, unchanging
from api.http.routes.pair import add_pair_routes
from api.http.routes.partners import add_partners_routes
from api.http.routes.problems import add_problem_routes
from api.http.routes.rankings import add_fluids_routes, add_materials_routes
from api.http.routes.search import add_find_routes
from api.http.routes.service import API_VERSION, SUMMARY, TITLE, add_service_routes
from api.http.routes.tables import add_row_route, add_table_routes
from api.http.settings import Settings
from kb.knowledge_base import KnowledgeBase

_QUESTIONS = (
    add_pair_routes,
    add_partners_routes,
    add_between_routes,
    add_find_routes,
    add_loop_routes,
    add_fluids_routes,
    add_materials_routes,
    add_matrix_routes,
    add_mix_routes,
    add_batch_routes,
)


class Service(FastAPI):
    """The application, with the middleware of the service around that of the framework."""

    def __init__(self, around: Callable[[ASGIApp], ASGIApp], **named: Any) -> None:
        """Prepare the application.

        Args:
            around: puts the middleware of the service around an application.
            **named: what the framework takes.
        """
        super().__init__(**named)
        self._whole = around(super().__call__)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one event of the server; what the outermost middleware knows by heart never comes to the framework."""
        await self._whole(scope, receive, send)


def create_app(
    base: KnowledgeBase,
    settings: Settings = Settings(),  # noqa: B008 - frozen
    deprecated: Sequence[Deprecation] = DEPRECATED,
    metrics: Metrics | None = None,
) -> FastAPI:
    """Return the service around a knowledge base.

    Args:
        base: answers every question; it is shared by all requests and never changed.
        settings: what the operator chose; requests find it as `request.app.state.settings`.
        deprecated: addresses that will go.
        metrics: counts requests; by default those of this application alone.

    >>> from kb import load
    >>> create_app(load()).version
    '1.0.0'
    """
    response_cache, metrics = ResponseCache(settings.cache_bytes), metrics or Metrics()
    log = RequestLog() if settings.log_requests else None

    def around(app: ASGIApp) -> ASGIApp:
        return cross_origin(
            ServiceMiddleware(app, base.version, settings, deprecated, response_cache, metrics, log), settings
        )

    app = Service(
        around,
        title=TITLE,
        summary=SUMMARY,
        version=API_VERSION,
        license_info={"name": "Apache-2.0"},
        openapi_url=None,
        redirect_slashes=False,
        telemetry={"tracing": False, "metrics": False, "logs": False, "auto_configure": False},
    )
    app.state.settings, app.state.deprecated, app.state.response_cache = settings, deprecated, response_cache
    app.state.long = LongQuestions(settings.most_long_questions, settings.longest_answer_s)
    app.state.metrics, app.state.reload_state = metrics, unchanging(base)
    app.router.route_class = StrictRoute
    add_exception_handlers(app)
    for add_routes in (*_QUESTIONS, add_table_routes, add_row_route, add_service_routes):
        add_routes(app, base)
    add_problem_routes(app)
    add_operating_routes(app, base)
    add_docs_routes(app, describer(app, base))
    return app
