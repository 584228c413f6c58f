"""One release of today's tables, built once, and copies of it that a test may damage."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from kb.curation.release.build import build_release
from kb.load import TABLES_FOLDER, load_tables
from kb.store.frozen import BuiltTables


@pytest.fixture(scope="session")
def tables() -> BuiltTables:
    return load_tables()


@pytest.fixture(scope="session")
def release(tables: BuiltTables, tmp_path_factory: pytest.TempPathFactory) -> Path:
    target = tmp_path_factory.mktemp("releases") / "release"
    build_release(target, tables, TABLES_FOLDER, documents={"openapi.json": b"{}\n"})
    return target


@pytest.fixture
def copy(release: Path, tmp_path: Path) -> Path:
    return shutil.copytree(release, tmp_path / "copy")
