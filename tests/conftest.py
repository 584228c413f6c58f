"""What all tests share: the knowledge base as a user loads it."""

from __future__ import annotations

import pytest

import kb
from kb.base import KnowledgeBase
from kb.snapshot import Snapshot


@pytest.fixture(scope="session")
def base() -> KnowledgeBase:
    return kb.load()


@pytest.fixture(scope="session")
def snapshot(base: KnowledgeBase) -> Snapshot:
    return base.snapshot


collect_ignore_glob = ["*conftest.py"]
