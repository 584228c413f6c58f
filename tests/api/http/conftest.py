"""One service for all tests of the HTTP interface."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from asgi_asking import Asker
from fastapi import FastAPI
from starlette.testclient import TestClient

from api.http.app import create_app
from kb import KnowledgeBase


@pytest.fixture(scope="session")
def app(base: KnowledgeBase) -> FastAPI:
    return create_app(base)


@pytest.fixture(scope="session")
def client(app: FastAPI) -> Iterator[TestClient]:
    with TestClient(app) as client:
        yield client


@pytest.fixture(scope="session")
def ask(app: FastAPI) -> Asker:
    return Asker(app)
