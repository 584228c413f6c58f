"""From answers to standard output: the one place of the command line that prints.

Owns: JSON or text, width, colour, what the terminal can show, a reader that went away. Does not own: what a page says
(`api/cli/pages/`).
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shutil
import sys
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from kb import KnowledgeBase
    from schemas.answers.answers import Answer

WIDEST = 100
NARROWEST = 40
_PLAIN_SIGNS = str.maketrans({"✓": "+", "✗": "x", "×": "x", "±": "~", "°": " deg ", "–": "-", "…": "."})
_COLOUR_CODE = r"\x1b\[[0-9;]*m"
_PADDING = re.compile(rf" *((?:{_COLOUR_CODE})?) *$", re.MULTILINE)
_UNPRINTABLE = re.compile(
    rf"(?!{_COLOUR_CODE})[\x00-\x09\x0b-\x1f\x7f-\x9f\ud800-\udfff\u200e\u200f\u2028-\u202e\u2066-\u2069]"
)


def render(knowledge: KnowledgeBase, answer: Answer, as_json: bool) -> None:
    """Print an answer.

    Args:
        knowledge: what gave the answer.
        answer: any answer of the knowledge base.
        as_json: exactly the answer's JSON, UTF-8, indented by two; otherwise a page of text for people.
    """
    if as_json:
        write(answer.to_json_bytes(indent=2) + b"\n")
    else:
        write(_page_text(knowledge, answer))


def write(content: str | bytes) -> None:
    """Write to standard output; that nobody reads to the end is no failure.

    Raises:
        OSError: if the output cannot be written for another reason, such as a full disk.
    """
    try:
        click.echo(content, nl=False, color=True)
    except BrokenPipeError:
        silence_output()


def remark(words: str) -> None:
    """Write one line to standard error, where it cannot be taken for a part of the answer."""
    with contextlib.suppress(OSError):  # nobody listens any more
        click.echo("wetted: " + printable(words, getattr(sys.stderr, "encoding", None) or "utf-8"), err=True)


def silence_output() -> None:
    """Let the rest of the output vanish, so that the end of the process finds nothing left to complain about."""
    if sys.stdout is None:
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())


def is_coloured() -> bool:
    """Return whether standard output is a terminal that wants colour (NO_COLOR and TERM=dumb are honoured)."""
    wanted = not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    return wanted and sys.stdout is not None and sys.stdout.isatty()


def printable(text: str, encoding: str) -> str:
    r"""Return text without control characters, in what an encoding can show; colour codes stay.

    >>> printable("✓ 9\x07 mm", "ascii"), printable("✓ tüv", "utf-8")
    ('+ 9? mm', '✓ tüv')
    """
    safe = _UNPRINTABLE.sub("?", text)
    try:
        safe.encode(encoding)
    except UnicodeEncodeError:
        return safe.translate(_PLAIN_SIGNS).encode(encoding, "backslashreplace").decode(encoding)
    return safe


def _page_text(knowledge: KnowledgeBase, answer: Answer) -> str:
    """Return the page of an answer as text for standard output as it is."""
    from rich.console import Console  # noqa: PLC0415 - JSON needs none of it

    from api.cli.pages import page_of  # noqa: PLC0415
    from api.cli.pages.names import Names  # noqa: PLC0415

    is_coloured_now = is_coloured()
    console = Console(
        file=io.StringIO(),
        width=min(WIDEST, max(NARROWEST, shutil.get_terminal_size((WIDEST, 24)).columns)),
        force_terminal=is_coloured_now,
        color_system="standard" if is_coloured_now else None,
        markup=False,
        highlight=False,
        emoji=False,
        legacy_windows=False,
    )
    with console.capture() as page:
        for block in page_of(answer, Names(knowledge.snapshot)):
            console.print(block)
    return printable(_PADDING.sub(r"\1", page.get()), getattr(sys.stdout, "encoding", None) or "utf-8")
