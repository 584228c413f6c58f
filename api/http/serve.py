"""Running the service.

Owns: the server and its limits. Does not own: the application (`api/http/app.py`) or reading the command line.
"""

from __future__ import annotations

from functools import partial
from typing import cast

import uvicorn

from api.http.app import create_app
from api.http.connection import PatientlyBoundedProtocol
from api.http.settings import Settings
from kb.base import KnowledgeBase, load


def server_config(settings: Settings, base: KnowledgeBase) -> uvicorn.Config:
    """Return how the server runs.

    Args:
        settings: what the operator chose.
        base: the knowledge base to serve.
    """
    connection = partial(
        PatientlyBoundedProtocol,
        head_patience_s=settings.head_patience_s,
        largest_head_bytes=settings.largest_head_bytes,
    )
    return uvicorn.Config(
        create_app(base, settings),
        host=settings.host,
        port=settings.port,
        http=cast(type[PatientlyBoundedProtocol], connection),
        ws="none",
        lifespan="off",
        server_header=False,
        timeout_keep_alive=settings.keep_alive_s,
        timeout_graceful_shutdown=settings.last_requests_s,
    )


def serve(settings: Settings) -> None:
    """Load the tables and serve them over HTTP until the process is told to stop.

    Args:
        settings: what the operator chose.

    Raises:
        TablesRefusedError: if anything is wrong with the tables.
    """
    uvicorn.Server(server_config(settings, load())).run()
