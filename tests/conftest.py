"""What all tests share: the knowledge base as a user loads it."""

from __future__ import annotations

import pytest

import kb
from kb.knowledge_base import KnowledgeBase
from kb.store.snapshot import Snapshot


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin long tests first, so that no core waits for one of them at the end."""
    items.sort(key=lambda item: item.get_closest_marker("long") is None)


@pytest.fixture(scope="session")
def base() -> KnowledgeBase:
    return kb.load()


@pytest.fixture(scope="session")
def snapshot(base: KnowledgeBase) -> Snapshot:
    return base.snapshot


collect_ignore_glob = ["*conftest.py"]
