"""What the tests of the command line share: a warm cache of their own, and ways to call `wetted`."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

import pytest

from api.cli.commands import asking, chemistry_asking, reading
from api.cli.main import main
from kb import KnowledgeBase, load
from kb.knowledge_base import TABLES_VARIABLE

CHECKOUT = Path(__file__).parents[3]


class Outcome(NamedTuple):
    """How a call of `wetted` ended."""

    code: int
    out: str
    err: str


@pytest.fixture(scope="session", autouse=True)
def warm_cache(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Keep the built tables of this session apart from the user's."""
    folder = tmp_path_factory.mktemp("cache")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WETTED_CACHE_DIR", str(folder))
        for name in ("NO_COLOR", "FORCE_COLOR", "COLUMNS"):
            patch.delenv(name, raising=False)
        load()
        yield folder


@pytest.fixture(scope="session")
def knowledge(warm_cache: Path) -> KnowledgeBase:
    return load(cache=warm_cache)


@pytest.fixture
def wetted(
    capsysbinary: pytest.CaptureFixture[bytes], knowledge: KnowledgeBase, monkeypatch: pytest.MonkeyPatch
) -> Callable[..., Outcome]:
    """Call the command line in this process; commands that ask of the project's tables share one base."""

    def shared() -> KnowledgeBase:
        return load() if os.environ.get(TABLES_VARIABLE) else knowledge

    for module in (asking, chemistry_asking, reading):
        monkeypatch.setattr(module, "load", shared)

    def call(*arguments: str) -> Outcome:
        code = main(arguments)
        captured = capsysbinary.readouterr()
        return Outcome(code, captured.out.decode(), captured.err.decode())

    return call


@pytest.fixture
def process() -> Callable[..., Outcome]:
    """Call the command line as a process of its own, with its output in pipes."""

    def call(arguments: Sequence[str | bytes], stdin: bytes = b"", **environment: str) -> Outcome:
        command = [sys.executable, "-m", "api.cli.main", *arguments]
        done = subprocess.run(
            command, input=stdin, capture_output=True, cwd=CHECKOUT, env={**os.environ, **environment}, check=False
        )
        return Outcome(done.returncode, done.stdout.decode("utf-8", "surrogateescape"), done.stderr.decode())

    return call
