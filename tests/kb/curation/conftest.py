"""What the tests of the curator's tools share: the tables as they stand."""

from __future__ import annotations

import pytest

from kb.load import load_tables
from kb.store.frozen import BuiltTables


@pytest.fixture(scope="session")
def tables() -> BuiltTables:
    return load_tables()
