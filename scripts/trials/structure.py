"""Figures of the structure: rooms, arrows and circles of `kb/`, and how many files a question enters.

    .venv/bin/python scripts/trials/structure.py

A room is a package of `kb/` of the first level, or a module that stands beside them; an arrow is an import from one
room into another; a circle is a set of modules that import one another. A file counts as entered if a function of it
runs while the question is answered a second time, after everything that is loaded once has been loaded.

Owns: how the structure is counted. Does not own: the laws (`[tool.importlinter]` in pyproject.toml).
"""

from __future__ import annotations

import json
import shutil
import sys
import tempfile
import threading
from collections.abc import Callable, Iterable
from pathlib import Path
from types import FrameType
from typing import Any

import grimp
from fastapi.testclient import TestClient

from api.cli.main import main as wetted
from api.http.app import create_app
from api.http.settings import Settings
from kb import load

CHECKOUT = Path(__file__).resolve().parent.parent.parent
PACKAGES = ("kb", "api", "schemas")
TABLES = "kb/tables"


def room(module: str) -> str:
    """Return the room of a module of kb: its first two names.

    >>> room("kb.formulas.flow.tube_flow")
    'kb.formulas'
    """
    return ".".join(module.split(".")[:2])


def arrows(graph: grimp.ImportGraph) -> set[tuple[str, str]]:
    """Return which room of kb imports which."""
    modules = [one for one in graph.modules if one.startswith("kb.")]
    found = ((room(one), room(other)) for one in modules for other in graph.find_modules_directly_imported_by(one))
    return {(one, other) for one, other in found if other.startswith("kb.") and one != other}


def circles(graph: grimp.ImportGraph) -> list[list[str]]:
    """Return the sets of modules that reach one another by imports, as long as there are any."""
    modules = sorted(one for one in graph.modules if one.startswith("kb."))
    reached = {one: graph.find_downstream_modules(one) for one in modules}
    together = {frozenset(o for o in modules if o in reached[one] and one in reached[o]) | {one} for one in modules}
    return [sorted(one) for one in together if len(one) > 1]


def entered(question: Callable[[], Any]) -> int:
    """Return how many files of the project a question enters when it is asked a second time."""
    question()
    files: set[str] = set()

    def note(frame: FrameType, event: str, _argument: Any) -> None:
        if event == "call" and frame.f_code.co_name != "<module>":
            files.add(frame.f_code.co_filename)

    threading.setprofile(note)
    sys.setprofile(note)
    try:
        question()
    finally:
        sys.setprofile(None)
        threading.setprofile(None)
    return sum(any(Path(one).is_relative_to(CHECKOUT / package) for package in PACKAGES) for one in files)


def asked_over_http() -> Callable[[], Any]:
    """Return a GET question about a pair."""
    client = TestClient(create_app(load(), Settings(log_requests=False)))
    asked = iter(("tube/soft-10x16", "tube/soft-13x19", "tube/soft-10x13"))
    return lambda: client.get("/v1/pair", params={"a": next(asked), "b": "fitting/compression-10x16-g-1-4"})


def asked_on_the_command_line(words: Iterable[str]) -> Callable[[], Any]:
    """Return a question on the command line whose output goes nowhere."""

    def question() -> None:
        with tempfile.TemporaryFile("w") as nowhere:
            reported, sys.stdout = sys.stdout, nowhere
            try:
                wetted(list(words))
            finally:
                sys.stdout = reported

    return question


def entered_by_diff() -> int:
    """Return how many files are entered by the diff of tables of which one row has changed."""
    with tempfile.TemporaryDirectory() as folder:
        changed = Path(folder) / "tables"
        shutil.copytree(CHECKOUT / TABLES, changed)
        tubes = changed / "tubes.csv"
        tubes.write_bytes(tubes.read_bytes().replace(b"both,,10,,16,", b"both,,10,,16.5,", 1))
        return entered(asked_on_the_command_line(["tables", "diff", str(CHECKOUT / TABLES), str(changed)]))


def main() -> int:
    """Print the figures as JSON."""
    graph = grimp.build_graph("kb", cache_dir=None)
    found = arrows(graph)
    figures = {
        "rooms": len({one for pair in found for one in pair}),
        "arrows": len(found),
        "arrows both ways": sum((other, one) in found for one, other in found) // 2,
        "circles of modules": [len(one) for one in circles(graph)],
        "files entered by a pair over HTTP": entered(asked_over_http()),
        "files entered by a loop's heat on the command line": entered(
            asked_on_the_command_line(["loop", "example/first-loop", "--section", "heat"])
        ),
        "files entered by a diff of one row": entered_by_diff(),
    }
    print(json.dumps(figures, indent=2))
    return 0


if __name__ == "__main__":
    sys.exit(main())
