"""What `wetted tables check --json` answers.

Owns: the form of the answer. Does not own: finding faults (`kb/load.py`, `kb/checks/`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from schemas.answers.base import AnswerModel, Described


@dataclass(frozen=True, slots=True, kw_only=True)
class TableFault(AnswerModel):
    """One thing wrong in one table, with the place and the remedy."""

    file: Annotated[str, Described("File name inside the tables folder.", examples=["tubes.csv"])]
    line: Annotated[int, Described("Line in the file, 1 = header; 0 if the whole file is meant.")]
    column: Annotated[str, Described("Column name; empty if the whole line is meant.", examples=["od_mm"])]
    row_id: Annotated[str, Described("Id of the row; empty if it has none.", examples=["tube/soft-10x13"])]
    code: Annotated[str, Described("Permanent code of the check.", examples=["TUB-001"])]
    what: Annotated[str, Described("What is wrong.")]
    fix: Annotated[str, Described("What to do.")]
    promise: Annotated[str, Described("The promise about the tables that is broken.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckAnswer(AnswerModel):
    """Everything wrong with a folder of tables."""

    folder: Annotated[str, Described("The folder that was checked.")]
    faults: Annotated[tuple[TableFault, ...], Described("In order of file and line; empty if the tables are sound.")]
    waiting_for: Annotated[
        tuple[str, ...],
        Described("Files with faults of form or cells: checks across tables that read them run once they are clean."),
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckCode(AnswerModel):
    """One code of a check."""

    code: Annotated[str, Described("Permanent code.", examples=["TUB-001"])]
    promise: Annotated[str, Described("What holds for the tables, in one sentence.")]
    file: Annotated[str, Described("The file that holds the check.", examples=["kb/checks/tube_walls.py"])]


@dataclass(frozen=True, slots=True, kw_only=True)
class CodesAnswer(AnswerModel):
    """Codes of checks, sorted."""

    codes: tuple[CheckCode, ...]
