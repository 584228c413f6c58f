"""What reaches terminals, pipes and files: colour where wanted, nothing too wide, nothing that cannot be shown."""

from __future__ import annotations

import json
import os
import re
import struct
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from pathlib import Path

import pytest

from api.cli.render import printable

CHECKOUT = Path(__file__).parents[3]
ASKED = ("pair", "thread/g-1-4", "thread/npt-1-4")
WIDE = (
    ASKED,
    ("loop", "example/first-loop"),
    ("list", "ports"),
    ("find", "10/16"),
    ("version",),
    ("pair", "metal/copper", "fluid/distilled-water"),
    ("fluids", "metal/copper", "metal/brass-yellow"),
    ("materials", "fluid/distilled-water"),
    ("matrix", "family/elastomer", "family/glycol-coolant"),
    ("matrix", "family/elastomer", "family/fluid"),
    ("mix", "propylene-glycol", "--parts", "1:4"),
)
PAGE_END = "\x1e"
ONE_BY_ONE = f"""
import json, sys
from api.cli.main import main

for arguments in json.loads(sys.argv[1]):
    main(arguments)
    print({PAGE_END!r}, flush=True)
"""
COLOUR = re.compile(r"\x1b\[[0-9;]*m")
needs_terminals = pytest.mark.skipif(sys.platform == "win32", reason="needs pseudo terminals")


def in_terminal(columns: int, *arguments: str, **environment: str) -> str:
    """Return what a command writes to a terminal of a width."""
    return written_to_terminal(columns, ("-m", "api.cli.main", *arguments), environment)


@cache
def pages_in_terminal(columns: int) -> dict[tuple[str, ...], str]:
    """Return what each of the wide commands writes to a terminal of a width, all asked in one program."""
    reported = written_to_terminal(columns, ("-c", ONE_BY_ONE, json.dumps(WIDE)), {}).split(PAGE_END)
    return dict(zip(WIDE, reported, strict=False))


def written_to_terminal(columns: int, program: Sequence[str], environment: Mapping[str, str]) -> str:
    import fcntl  # noqa: PLC0415 - not everywhere
    import pty  # noqa: PLC0415
    import termios  # noqa: PLC0415

    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
    command = [sys.executable, *program]
    surroundings = {**os.environ, "TERM": "xterm", **environment}
    with subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=theirs, cwd=CHECKOUT, env=surroundings):
        os.close(theirs)
        chunks = []
        while chunk := _read(ours):
            chunks.append(chunk)
    os.close(ours)
    return b"".join(chunks).decode().replace("\r\n", "\n")


def _read(terminal: int) -> bytes:
    try:
        return os.read(terminal, 4096)
    except OSError:
        return b""


@pytest.mark.parametrize("environment", [{}, {"FORCE_COLOR": "1"}, {"TERM": "xterm-256color", "CLICOLOR_FORCE": "1"}])
def test_a_pipe_never_gets_colour(process: Callable, environment: dict[str, str]) -> None:
    assert "\x1b" not in process(ASKED, **environment).out


@needs_terminals
def test_a_terminal_gets_colour() -> None:
    assert COLOUR.search(in_terminal(80, *ASKED))


@needs_terminals
@pytest.mark.parametrize("environment", [{"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_a_terminal_that_wants_no_colour_gets_none(environment: dict[str, str]) -> None:
    assert "\x1b" not in in_terminal(80, *ASKED, **environment)


@needs_terminals
def test_without_colour_the_page_says_the_same() -> None:
    assert COLOUR.sub("", in_terminal(80, *ASKED)) == in_terminal(80, *ASKED, NO_COLOR="1")


@needs_terminals
@pytest.mark.parametrize(("columns", "widest"), [(80, 80), (120, 100)])
@pytest.mark.parametrize("arguments", WIDE)
def test_no_line_is_wider_than_the_terminal_or_a_hundred(arguments: tuple[str, ...], columns: int, widest: int) -> None:
    lines = COLOUR.sub("", pages_in_terminal(columns)[arguments]).splitlines()
    assert widest - 20 < max(map(len, lines)) <= widest


@needs_terminals
def test_a_narrow_terminal_cuts_nothing() -> None:
    folded = COLOUR.sub("", in_terminal(40, "show", "fitting/compression-10x16-g-1-4-rotary-90"))
    assert "fitting/compression-10x16-g-1-4-rotary-90" in "".join(folded.split())


def test_an_ascii_output_gets_signs_it_can_show(process: Callable) -> None:
    reported = process(ASKED, PYTHONIOENCODING="ascii")
    assert reported.out.isascii()
    assert reported.out.startswith("x INCOMPATIBLE")


def test_a_utf_8_output_gets_the_better_signs(process: Callable) -> None:
    assert process(ASKED, PYTHONIOENCODING="utf-8").out.startswith("✗ INCOMPATIBLE")


def test_json_is_the_same_bytes_whatever_the_output_can_show(process: Callable) -> None:
    plain, rich = (process([*ASKED, "--json"], PYTHONIOENCODING=one) for one in ("ascii", "utf-8"))
    assert plain == rich


def test_no_line_ends_in_blanks(process: Callable) -> None:
    assert not re.search(r" $", process(["loop", "example/first-loop"]).out, re.MULTILINE)


@pytest.mark.parametrize("hostile", ["\x07", "\x1b]0;title\x07", "\x9b31m", "\x1b[2J", "\r", "\u202e", "\udcff"])
def test_nothing_that_a_terminal_obeys_gets_through(hostile: str) -> None:
    shown = printable(f"a{hostile}b", "utf-8")
    assert shown.isprintable()
    assert shown.encode()


@pytest.mark.skipif(sys.platform == "win32", reason="pipes close differently there")
@pytest.mark.parametrize(
    ("arguments", "code"), [(ASKED, 12), ((*ASKED, "--json"), 12), (("--help",), 0), (("tables", "check"), 0)]
)
def test_a_reader_that_leaves_is_no_failure(arguments: tuple[str, ...], code: int) -> None:
    ours, theirs = os.pipe()
    os.close(ours)
    command = [sys.executable, "-m", "api.cli.main", *arguments]
    done = subprocess.run(command, stdout=theirs, stderr=subprocess.PIPE, cwd=CHECKOUT, check=False)
    os.close(theirs)
    assert (done.returncode, done.stderr) == (code, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a full disk")
def test_a_full_disk_is_reported_in_one_line() -> None:
    with Path("/dev/full").open("wb") as full:
        command = [sys.executable, "-m", "api.cli.main", "version"]
        done = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, cwd=CHECKOUT, check=False)
    assert done.returncode == 1
    assert re.fullmatch(rb"wetted: No space left on device\n", done.stderr)
