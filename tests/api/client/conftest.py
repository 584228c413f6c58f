"""A live service for the client's tests."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator

import pytest
import uvicorn

from api.client import Client
from api.http.server.serve import server_config
from api.http.settings import Settings
from kb import KnowledgeBase


@pytest.fixture(scope="session")
def address(base: KnowledgeBase) -> Iterator[str]:
    config = server_config(Settings(port=0, log_requests=False), base)  # a line after an answer may fall between tests
    config.log_level, config.access_log = "critical", False
    config.configure_logging()
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    yield f"http://127.0.0.1:{server.servers[0].sockets[0].getsockname()[1]}"
    server.should_exit = True
    thread.join(timeout=10)


@pytest.fixture
def service(address: str) -> Iterator[Client]:
    with Client(address) as service:
        yield service
