"""One program that carries out many `wetted` commands, so that tests do not wait for an interpreter a command.

Owns: starting it, asking it, and looking for promised lines in what it prints. Does not own: which commands are tried.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

_PROGRAM = """
import contextlib, io, json, sys
from api.cli.main import main

for line in sys.stdin:
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="") for _ in range(2))
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = int(main(json.loads(line)))
    texts = []
    for stream in (out, err):
        stream.flush()
        texts.append(stream.buffer.getvalue().decode())
    print(json.dumps([code, *texts]), flush=True)
"""
_NOT_INHERITED = ("WETTED_TABLES", "PYTHONPATH", "NO_COLOR", "FORCE_COLOR")


class Done(NamedTuple):
    """How a command ended."""

    code: int
    out: str
    err: str


Wetted = Callable[[Sequence[str]], Done]


def surroundings(**more: str) -> dict[str, str]:
    """Return the variables of this process without those that change what `wetted` answers, and more."""
    return {name: text for name, text in os.environ.items() if name not in _NOT_INHERITED} | {"COLUMNS": "100"} | more


@contextmanager
def wetted_program(
    folder: Path, environment: Mapping[str, str], python: str | Path = sys.executable, options: Sequence[str] = ()
) -> Iterator[Wetted]:
    """Start the program in a folder, with an interpreter and its options, and give the function that asks it."""
    command = [python, *options, "-c", _PROGRAM]
    started = subprocess.Popen(command, cwd=folder, env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    with started as program:
        assert program.stdin is not None and program.stdout is not None
        asked, reported = program.stdin, program.stdout

        def call(arguments: Sequence[str]) -> Done:
            asked.write(json.dumps(list(arguments)).encode() + b"\n")
            asked.flush()
            return Done(*json.loads(reported.readline()))

        yield call


def assert_printed(promised: Sequence[str], printed: str, command: str) -> None:
    """Assert that all promised lines are printed, in their order, wherever the lines are broken."""
    text, place = " ".join(printed.split()), 0
    for line in promised:
        place = text.find(" ".join(line.split()), place)
        assert place >= 0, f"{line!r} is not printed by {command}, or not in this order:\n{printed}"
