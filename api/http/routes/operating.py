"""/ready and /metrics: the service as its operators see it.

Owns: what load balancers and monitors read. Does not own: counting or the form of metrics
(`api/http/responses/metrics.py`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Annotated, Literal

from fastapi import FastAPI
from starlette.responses import Response

from api.http.openapi.operations import Tag, reading
from api.http.reload.reloading import ReloadState
from api.http.responses.answers import NO_STORE, uncached
from api.http.responses.metrics import MEDIA_TYPE
from api.http.routes.service import API_VERSION
from kb.knowledge_base import KnowledgeBase
from schemas.answers.answers import Answer
from schemas.answers.base import Described


@dataclass(frozen=True, slots=True, kw_only=True)
class Readiness(Answer):
    """That the service can take questions, and what came of new tables."""

    status: Literal["ready"] = "ready"
    since: Annotated[datetime, Described("When these tables began to answer.")]
    reloads: Annotated[int, Described("How often new tables took over in this process.", minimum=0)]
    refusals: Annotated[int, Described("How often new tables were refused in this process.", minimum=0)]
    judging: Annotated[
        bool, Described("Whether new tables are being judged; the present ones answer until that is done.")
    ]
    last_refused: Annotated[bool, Described("Whether the tables that were tried last were refused; the log says why.")]


def unchanging(base: KnowledgeBase) -> Callable[[], ReloadState]:
    """Return the state of a service that never loads other tables."""
    state = ReloadState(base.version, datetime.now(UTC))
    return lambda: state


def add_operating_routes(app: FastAPI, base: KnowledgeBase) -> None:
    """Add the routes for operators to an application."""

    @app.get("/ready", response_model=Readiness, **reading("read_readiness", "Can it take questions?", Tag.SERVICE))
    async def read_readiness() -> Response:
        """Answer 200 as soon as the tables are loaded and as long as new connections are taken."""
        state = app.state.reload_state()
        readiness = Readiness(
            kb_version=base.version,
            since=state.since,
            reloads=state.reloads,
            refusals=state.refusals,
            judging=state.is_judging,
            last_refused=bool(state.refused),
        )
        return uncached(readiness)

    @app.get("/metrics", include_in_schema=False)
    async def read_metrics() -> Response:
        """Report what was counted, as Prometheus reads it."""
        gauges = {
            "wetted_open_connections": ("Connections that this process holds open.", app.state.metrics.connections),
            "wetted_response_cache_bytes": (
                "Memory of cached responses in this process.",
                app.state.response_cache.bytes,
            ),
        }
        info = {"kb_version": base.version, "api_version": API_VERSION}
        text = app.state.metrics.text(gauges, info)
        return Response(text, headers={"Cache-Control": NO_STORE}, media_type=MEDIA_TYPE)
