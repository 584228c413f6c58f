"""Outside tables, read from the files of installed packages without running the packages' code.

`requirements-outside.lock` installs them. A carrier that is not there fails the test: a check against the outside
world that quietly does not happen is worse than none.
"""

from __future__ import annotations

import csv
import importlib.util
import re
from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path

import pytest

from kb.knowledge_base import KnowledgeBase

CARRIERS = {"bd_warehouse": ("bd-warehouse", "0.4.0"), "solid2": ("solidpython2", "2.1.3")}


def folder_of(module: str) -> Path:
    """Return the folder of an installed carrier, in the version that the citations speak of."""
    distribution, cited = CARRIERS[module]
    spec = importlib.util.find_spec(module)
    if spec is None or not spec.submodule_search_locations:
        pytest.fail(f"{distribution} {cited} is not installed; run pip install --no-deps -r requirements-outside.lock")
    assert version(distribution) == cited, f"the citations speak of {distribution} {cited}"
    return Path(spec.submodule_search_locations[0])


Rows = list[dict[str, str]]


@pytest.fixture(scope="session")
def warehouse() -> Callable[[str], Rows]:
    """Return a reader of the CSV tables of bd_warehouse 0.4.0."""
    folder = folder_of("bd_warehouse")

    def read(path: str) -> Rows:
        with (folder / path).open(encoding="utf-8", newline="") as file:
            return list(csv.DictReader(file))

    return read


@pytest.fixture(scope="session")
def scad() -> Callable[[str], str]:
    """Return a reader of the BOSL2 sources inside solidpython2 2.1.3."""
    folder = folder_of("solid2") / "extensions" / "bosl2" / "BOSL2"
    return lambda name: (folder / name).read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def scad_rows(scad: Callable[[str], str]) -> Callable[[str, str], dict[str, list[str]]]:
    """Return a reader of a table in a BOSL2 source: size as written there -> the figures beside it, as written."""

    def read(name: str, table: str) -> dict[str, list[str]]:
        body = scad(name).split(f"{table} = [", 1)[1]
        body = re.split(r"\n\s*\][;,]", body, maxsplit=1)[0]
        found = re.findall(r"\[\s*([\d./+]+)\s*,\s*\[([^\]]*)\]\s*\]", body)
        return {size: [figure.strip() for figure in figures.split(",")] for size, figures in found}

    return read


@pytest.fixture(scope="session")
def cell(base: KnowledgeBase) -> Callable[[str, str], float]:
    """Return a reader of one number of our tables: row id, column -> value."""

    def read(row_id: str, column: str) -> float:
        row = base.snapshot.row(row_id)
        assert row is not None, f"the tables no longer have {row_id}"
        value = getattr(row, column)
        assert value is not None, f"{row_id} has no {column}"
        return float(value)

    return read
