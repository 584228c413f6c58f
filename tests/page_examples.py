"""Every example of a page in Markdown: its blocks, and its commands, those in running text included.

Owns: finding them. Does not own: carrying them out (`test_readme.py` and its neighbours).
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from api.cli.exit_codes import exit_code_of
from schemas.verdict import Verdict

ROOT = Path(__file__).resolve().parent.parent
_BLOCK = re.compile(r"^```(?P<language>\w*)\n(?P<text>.*?)^```$", re.MULTILINE | re.DOTALL)
_SPAN = re.compile(r"(?<!`)`([^`]+)`(?!`)")
_PROGRAM = r"wetted|pip|pytest|curl|python[\d.]*|bash|git|eval|\.|sha256sum|\S*\.venv/\S+|scripts/\w+\.py"
_COMMAND = re.compile(rf"(?:[A-Z_]+=\S+ +)*(?:{_PROGRAM})(?= |$)")
_VERDICTS = {verdict.value.upper(): exit_code_of(verdict).value for verdict in Verdict}


class Block(NamedTuple):
    """A fenced block: the language it names (empty if none) and its text."""

    language: str
    text: str


class Command(NamedTuple):
    """A command that a page shows, on one line, and the lines it promises to print."""

    text: str
    promised: tuple[str, ...] = ()

    @property
    def words(self) -> list[str]:
        """Return the words as a shell would pass them on."""
        return shlex.split(self.text)

    @property
    def code(self) -> int:
        """Return the exit code that goes with the verdict it promises, 0 if it promises none."""
        first = self.promised[0].split()[0] if self.promised else ""
        return _VERDICTS.get(first, 0)


class Page(NamedTuple):
    """A page: its blocks, and its running text without them."""

    blocks: tuple[Block, ...]
    prose: str

    def texts(self, language: str) -> list[str]:
        """Return the texts of all blocks of a language."""
        return [block.text for block in self.blocks if block.language == language]

    def dimensions(self) -> list[str]:
        """Return what stands between backticks in running text, on one line."""
        return [" ".join(dimension.split()) for dimension in _SPAN.findall(self.prose)]

    def inline_commands(self) -> list[Command]:
        """Return the commands in running text; the bare name of a program is none."""
        return [
            Command(dimension)
            for dimension in self.dimensions()
            if _COMMAND.match(dimension) and dimension not in ("wetted", ".", "pip")
        ]

    def session(self) -> list[Command]:
        """Return the commands of all console blocks in their order, as often as they are shown."""
        return [command for block in self.blocks if block.language == "console" for command in _commands_of(block)]

    def commands(self) -> list[Command]:
        """Return all commands, first those of blocks, each once."""
        shown = [command for block in self.blocks for command in _commands_of(block)]
        first = {command.text: command for command in reversed([*shown, *self.inline_commands()])}
        return list(reversed(first.values()))


def page(*names: str) -> Page:
    """Return pages of the checkout, one after the other, as one."""
    text = "\n".join((ROOT / name).read_text(encoding="utf-8") for name in names)
    return Page(tuple(Block(**match.groupdict()) for match in _BLOCK.finditer(text)), _BLOCK.sub("", text))


def _commands_of(block: Block) -> Iterator[Command]:
    """Yield the commands of a block: after `$ ` in a session, else every line that begins with a program."""
    text = block.text.replace("\\\n", " ")
    if block.language == "console":
        for part in re.split(r"^\$ ", text, flags=re.MULTILINE)[1:]:
            command, *lines = part.splitlines()
            yield Command(command, _promised(lines))
    elif block.language in ("", "bash"):
        lines = (" ".join(line.split(" # ")[0].split()) for line in text.splitlines())
        yield from (Command(line) for line in lines if _COMMAND.match(line))


def _promised(lines: Sequence[str]) -> tuple[str, ...]:
    return tuple(line.strip() for line in lines if line.strip() not in ("", "..."))
