"""Small ways to spoil a table, from which the corpus of spoiled tables is made."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

Spoil = Callable[[Any], None]
TUBE = "tube/soft-10x13"
NO_COLUMN = ""


def cell(column: str, text: str, table: str = "tubes", row_id: str = TUBE) -> Spoil:
    """Overwrite one cell, by default of a soft tube."""
    return lambda spoil: spoil.set(table, row_id, **{column: text})


def replaced(old: bytes, new: bytes, table: str = "tubes") -> Spoil:
    """Replace the first occurrence of some bytes."""

    def change(spoil: Any) -> None:
        content = spoil.read(table)
        assert old in content
        spoil.write(table, content.replace(old, new, 1))

    return change


def rewritten(change: Callable[[bytes], bytes], table: str = "tubes") -> Spoil:
    """Rewrite a whole file."""
    return lambda spoil: spoil.write(table, change(spoil.read(table)))


def without(name: str) -> Spoil:
    """Delete a file of the folder."""
    return lambda spoil: (spoil.folder / name).unlink()


def beside(name: str, content: bytes) -> Spoil:
    """Put a file into the folder, or over one."""
    return lambda spoil: (spoil.folder / name).write_bytes(content)


def directory(name: str) -> Spoil:
    """Put a folder in the place of a file."""

    def change(spoil: Any) -> None:
        (spoil.folder / name).unlink()
        (spoil.folder / name).mkdir()

    return change


ROW = b"tube/soft-10x13,"
LINE_OF_ROW = -1


def row_written(old: bytes, new: bytes, table: str = "tubes") -> Spoil:
    """Rewrite the line of one row, by default of a soft tube."""

    def change(spoil: Any) -> None:
        lines = spoil.read(table).split(b"\n")
        place = next(number for number, line in enumerate(lines) if line.startswith(ROW))
        assert old in lines[place]
        lines[place] = lines[place].replace(old, new, 1)
        spoil.write(table, b"\n".join(lines))

    return change


def line_before(text: bytes, table: str = "tubes") -> Spoil:
    """Put a line before that of a soft tube."""
    return replaced(b"\n" + ROW, b"\n" + text + b"\n" + ROW, table)
