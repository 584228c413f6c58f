"""Running the service.

Owns: the server and its limits. Does not own: the application (`api/http/app.py`) or reading the command line.
"""

from __future__ import annotations

import asyncio
import gc
import math
import os
import resource
import sys
import tempfile
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import cast

import uvicorn
from fastapi import FastAPI
from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol

from api.http.app import create_app
from api.http.reload.loading import load_beside
from api.http.reload.reloading import Reloader
from api.http.responses.logs import configure_logs
from api.http.responses.metrics import SHARED_FOLDER_VARIABLE, Metrics
from api.http.server.guard import Guard, Guarded
from api.http.server.workers import Workers, end_with_parent
from api.http.settings import Settings
from kb.knowledge_base import KnowledgeBase, load
from kb.load import TABLES_FOLDER

# Answers hold no cycles: looking for some among all kept ones would take a tenth of the time. A look at the newest
# alone stops every request for some hundred microseconds a thousand of them: it is short, and the wider one seldom.
_COLLECT_SELDOM = (1_000, 400, 50)
_OTHER_FILES = 256
_SWITCH_INTERVAL_S = (
    0.0005  # while a thread loads tables, every request waits for it one turn; the usual 5 ms are too long
)


def service(settings: Settings, base: KnowledgeBase, metrics: Metrics) -> Reloader:
    """Return the service, which loads new tables while it runs.

    Args:
        settings: what the operator chose.
        base: the knowledge base that answers first.
        metrics: counts requests, whatever base answers them.
    """

    def make_app(base: KnowledgeBase) -> FastAPI:
        app = create_app(base, settings, metrics=metrics)
        app.state.reload_state = lambda: reloader.state
        return app

    load_next = partial(load_beside, patience_s=settings.judging_patience_s)
    tables, kept, watch_s = tables_folder(settings), settings.kept_versions, settings.watch_s
    reloader = Reloader(base, make_app, tables, load_next, kept, watch_s, metrics)
    return reloader


def tables_folder(settings: Settings) -> Path:
    """Return the folder whose tables are served."""
    return Path(settings.tables) if settings.tables else TABLES_FOLDER


def server_config(settings: Settings, base: KnowledgeBase) -> uvicorn.Config:
    """Return how the server runs in this process.

    Args:
        settings: what the operator chose.
        base: the knowledge base to serve.
    """
    metrics = Metrics()
    return _config(settings, metrics, Guarded(service(settings, base, metrics)))


def serve(settings: Settings) -> None:
    """Load the tables and serve them over HTTP until the process is told to stop.

    Args:
        settings: what the operator chose.

    Raises:
        TablesRefusedError: if anything is wrong with the tables.
    """
    configure_logs()
    prepare_process(settings)
    if settings.workers == 1:  # the first base gets no name here: it would stay for as long as the process
        uvicorn.Server(server_config(settings, _warm_base(settings))).run()
        return
    load(tables_folder(settings))  # judges the tables and builds their snapshot, once, for all workers to read
    metrics = Metrics()
    config = _config(settings, metrics, partial(worker, settings, metrics), settings.workers)
    with tempfile.TemporaryDirectory(prefix="wetted-metrics-") as folder:
        os.environ[SHARED_FOLDER_VARIABLE] = folder  # for the workers
        Workers(config, sockets=[config.bind_socket()]).run()


def worker(settings: Settings, metrics: Metrics) -> Guarded:
    """Return the service of one worker process, which reads the built tables for itself.

    Args:
        settings: what the operator chose.
        metrics: counts requests in this process.
    """
    configure_logs()
    prepare_process(settings)
    end_with_parent()
    return Guarded(service(settings, _warm_base(settings), metrics))


def _warm_base(settings: Settings) -> KnowledgeBase:
    base = load(tables_folder(settings))
    base.warm_up()
    return base


def prepare_process(settings: Settings) -> None:
    """Prepare this process to serve: connections it may hold, turns of its threads, and seldom clearing of memory.

    Args:
        settings: what the operator chose.
    """
    _allow_open_files(settings.most_connections + _OTHER_FILES)
    gc.set_threshold(*_COLLECT_SELDOM)
    sys.setswitchinterval(_SWITCH_INTERVAL_S)
    gc.collect()
    gc.freeze()  # the program itself stays: looking through it for cycles would stop every request for 50 ms


def _allow_open_files(count: int) -> None:
    """Let this process hold so many files and connections open, as far as the system allows it to ask."""
    usual, most = resource.getrlimit(resource.RLIMIT_NOFILE)
    if usual != resource.RLIM_INFINITY and usual < count:
        allowed = count if most == resource.RLIM_INFINITY else min(count, most)
        resource.setrlimit(resource.RLIMIT_NOFILE, (allowed, most))


def _config(
    settings: Settings, metrics: Metrics, app: Guarded | Callable[[], Guarded], workers: int = 1
) -> uvicorn.Config:
    connection = partial(Guard, HttpToolsProtocol, settings, metrics)
    return uvicorn.Config(
        app,
        factory=not isinstance(app, Guarded),
        host=settings.host,
        port=settings.port,
        workers=workers,
        http=cast(type[asyncio.Protocol], connection),
        ws="none",
        lifespan="on",
        server_header=False,
        proxy_headers=False,  # nobody asks who the client is, so no layer has to find out
        access_log=False,
        log_config=None,
        timeout_keep_alive=math.ceil(settings.keep_alive_s + settings.head_patience_s) + 1,  # the guard is earlier
        timeout_graceful_shutdown=settings.last_requests_s,
    )
