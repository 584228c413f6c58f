"""/, /health and /v1/version: the service itself.

Owns: what the service says of itself. Does not own: what is in the tables (`api/http/routes/tables.py`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from fastapi import FastAPI
from starlette.responses import Response

from api.http.openapi.operations import Tag, reading
from api.http.responses.answers import cacheable, uncached
from kb.knowledge_base import KnowledgeBase
from schemas.answers.answers import Answer
from schemas.answers.base import Described

API_VERSION = "1.0.0"
TITLE = "wetted"
SUMMARY = "Are the parts of a custom liquid-cooling loop compatible? Answers with reasons and sources."


@dataclass(frozen=True, slots=True, kw_only=True)
class Index(Answer):
    """Where to go from here."""

    name: str
    description: str
    links: Annotated[
        dict[str, str], Described("What there is -> its address, as a URI template where it has parameters.")
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class Health(Answer):
    """That the service answers."""

    status: Literal["ok"] = "ok"


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceVersion(Answer):
    """Which version of the API answers, from which tables."""

    api_version: Annotated[str, Described("Version of this API; its first number grows when callers must change.")]
    tables_version: Annotated[str, Described("Calendar version of the tables.")]
    digest: Annotated[str, Described("Digest of the tables.")]


def add_service_routes(app: FastAPI, base: KnowledgeBase) -> None:
    """Add the routes of the service itself to an application."""

    @app.get("/", response_model=Index, **reading("read_index", "Where to go from here", Tag.SERVICE))
    async def read_index() -> Response:
        """List what this service offers."""
        return cacheable(index_of(base))

    @app.get("/health", response_model=Health, **reading("read_health", "Does the service answer?", Tag.SERVICE))
    async def read_health() -> Response:
        """Answer 200 as long as the service works; the tables were loaded and checked before it began to."""
        return uncached(Health(kb_version=base.version))

    @app.get(
        "/v1/version",
        response_model=ServiceVersion,
        **reading("read_version", "Which API and which tables answer?", Tag.SERVICE),
    )
    async def read_version() -> Response:
        """Name the version of the API and of the tables."""
        return cacheable(version_of(base))


def index_of(base: KnowledgeBase) -> Index:
    """Return what the service offers from a base."""
    return Index(kb_version=base.version, name=TITLE, description=SUMMARY, links=_links())


def version_of(base: KnowledgeBase) -> ServiceVersion:
    """Return which version of the API answers from a base."""
    tables = base.tables()
    return ServiceVersion(
        kb_version=base.version, api_version=API_VERSION, tables_version=tables.version, digest=tables.digest
    )


def _links() -> dict[str, str]:
    return {
        "pair": "/v1/pair{?a,b}",
        "partners": "/v1/partners{?part,kind,verdicts,limit}",
        "between": "/v1/between{?a,b,limit}",
        "find": "/v1/find{?words,kind,limit}",
        "loop": "/v1/loop",
        "fluids": "/v1/fluids{?parts,additives,limit}",
        "materials": "/v1/materials{?fluid,family,limit}",
        "matrix": "/v1/matrix{?rows,columns,format}",
        "mix": "/v1/mix{?glycol,concentrate_parts,water_parts,concentrate_glycol_percent,temperature_c}",
        "batch": "/v1/batch/{question}",
        "tables": "/v1/tables",
        "table": "/v1/tables/{table}{?family,after,limit,format}",
        "row": "/v1/rows/{kind}/{slug}",
        "version": "/v1/version",
        "health": "/health",
        "ready": "/ready",
        "metrics": "/metrics",
        "problems": "/problems",
        "description": "/openapi.json",
        "documentation": "/docs",
    }
