"""What `wetted tables check --json` answers.

Owns: the form of the answer. Does not own: finding faults (`kb/load.py`, `kb/checks/`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from schemas.answers.base import AnswerModel


@dataclass(frozen=True, slots=True, kw_only=True)
class TableFault(AnswerModel):
    """One thing wrong in one table, with the place and the remedy."""

    file: Annotated[str, Field(description="File name inside the tables folder.", examples=["tubes.csv"])]
    line: Annotated[int, Field(description="Line in the file, 1 = header; 0 if the whole file is meant.")]
    column: Annotated[str, Field(description="Column name; empty if the whole line is meant.", examples=["od_mm"])]
    row_id: Annotated[str, Field(description="Id of the row; empty if it has none.", examples=["tube/soft-10x13"])]
    code: Annotated[str, Field(description="Permanent code of the check.", examples=["TUB-001"])]
    what: Annotated[str, Field(description="What is wrong.")]
    fix: Annotated[str, Field(description="What to do.")]
    promise: Annotated[str, Field(description="The promise about the tables that is broken.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckAnswer(AnswerModel):
    """Everything wrong with a folder of tables."""

    folder: Annotated[str, Field(description="The folder that was checked.")]
    faults: Annotated[
        tuple[TableFault, ...], Field(description="In order of file and line; empty if the tables are sound.")
    ]
    waiting_for: Annotated[
        tuple[str, ...],
        Field(
            description=(
                "Files with faults of form or cells: checks across tables that read them run once they are clean."
            )
        ),
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckCode(AnswerModel):
    """One code of a check."""

    code: Annotated[str, Field(description="Permanent code.", examples=["TUB-001"])]
    promise: Annotated[str, Field(description="What holds for the tables, in one sentence.")]
    file: Annotated[str, Field(description="The file that holds the check.", examples=["kb/checks/tube_walls.py"])]


@dataclass(frozen=True, slots=True, kw_only=True)
class CodesAnswer(AnswerModel):
    """Codes of checks, sorted."""

    codes: tuple[CheckCode, ...]
