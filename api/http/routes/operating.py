"""/ready and /metrics: the service as its operators see it.

Owns: what is told to load balancers and monitors. Does not own: counting (`api/http/responses/traffic.py`) or the form
of metrics (`api/http/responses/exposition.py`).
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Literal

from fastapi import FastAPI
from pydantic import Field
from starlette.responses import Response

from api.http.openapi.operations import Tag, reading
from api.http.reload.reloading import ReloadState
from api.http.responses.answers import NOBODY_KEEPS, told
from api.http.responses.exposition import MEDIA_TYPE, exposition
from api.http.routes.service import API_VERSION
from kb.knowledge_base import KnowledgeBase
from schemas.answers.answers import Answer


class Readiness(Answer):
    """That the service can take questions, and what came of new tables."""

    status: Literal["ready"] = "ready"
    since: datetime = Field(description="When these tables began to answer.")
    reloads: int = Field(description="How often new tables took over in this process.", ge=0)
    refusals: int = Field(description="How often new tables were refused in this process.", ge=0)
    judging: bool = Field(
        description="Whether new tables are being judged; the present ones answer until that is done."
    )
    last_refused: bool = Field(description="Whether the tables that were tried last were refused; the log says why.")


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
        ready = Readiness(
            kb_version=base.version,
            since=state.since,
            reloads=state.reloads,
            refusals=state.refusals,
            judging=state.is_judging,
            last_refused=bool(state.refused),
        )
        return told(ready)

    @app.get("/metrics", include_in_schema=False)
    async def read_metrics() -> Response:
        """Tell what was counted, as Prometheus reads it."""
        gauges = {
            "wetted_open_connections": ("Connections that this process holds open.", app.state.traffic.connections),
            "wetted_ready_answer_bytes": ("Memory of ready answers in this process.", app.state.ready.bytes),
        }
        info = {"kb_version": base.version, "api_version": API_VERSION}
        text = exposition(app.state.traffic.counts(), gauges, info)
        return Response(text, headers={"Cache-Control": NOBODY_KEEPS}, media_type=MEDIA_TYPE)
