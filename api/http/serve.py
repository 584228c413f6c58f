"""Running the service.

Owns: the server and its limits. Does not own: the application (`api/http/app.py`) or reading the command line.
"""

from __future__ import annotations

from pathlib import Path

import uvicorn

from api.http.app import create_app
from api.http.connection import PatientlyBoundedProtocol
from kb.base import KnowledgeBase, load

LARGEST_HEAD_BYTES = 16 * 1024
KEEP_ALIVE_S = 5
LAST_REQUESTS_S = 10


def server_config(host: str, port: int, base: KnowledgeBase) -> uvicorn.Config:
    """Return the settings of the server.

    Args:
        host: name or address to listen on.
        port: port to listen on; 0 = any free one.
        base: the knowledge base to serve.
    """
    return uvicorn.Config(
        create_app(base),
        host=host,
        port=port,
        http=PatientlyBoundedProtocol,
        ws="none",
        lifespan="off",
        server_header=False,
        timeout_keep_alive=KEEP_ALIVE_S,
        timeout_graceful_shutdown=LAST_REQUESTS_S,
        h11_max_incomplete_event_size=LARGEST_HEAD_BYTES,
    )


def serve(host: str, port: int, tables: Path | None = None) -> None:
    """Load the tables and serve them over HTTP until the process is told to stop.

    Args:
        host: name or address to listen on.
        port: port to listen on; 0 = any free one.
        tables: folder of tables or release; by default as `kb.load` takes them.

    Raises:
        TablesRefusedError: if anything is wrong with the tables.
    """
    uvicorn.Server(server_config(host, port, load(tables))).run()
