"""What `wetted tables check --json` answers.

Owns: the form of the answer. Does not own: finding faults (`kb/load.py`, `kb/checks/`).
"""

from __future__ import annotations

from pydantic import Field

from schemas.answers.answers import AnswerModel


class TableFault(AnswerModel):
    """One thing wrong in one table, with the place and the remedy."""

    file: str = Field(description="File name inside the tables folder.", examples=["tubes.csv"])
    line: int = Field(description="Line in the file, 1 = header; 0 if the whole file is meant.")
    column: str = Field(description="Column name; empty if the whole line is meant.", examples=["od_mm"])
    row_id: str = Field(description="Id of the row; empty if it has none.", examples=["tube/soft-10x13"])
    code: str = Field(description="Permanent code of the check.", examples=["TUB-001"])
    what: str = Field(description="What is wrong.")
    fix: str = Field(description="What to do.")
    promise: str = Field(description="The promise about the tables that is broken.")


class CheckAnswer(AnswerModel):
    """Everything wrong with a folder of tables."""

    folder: str = Field(description="The folder that was checked.")
    faults: tuple[TableFault, ...] = Field(description="In order of file and line; empty if the tables are sound.")
    waiting_for: tuple[str, ...] = Field(
        description="Files with faults of form or cells: checks across tables that read them run once they are clean."
    )


class CheckCode(AnswerModel):
    """One code of a check."""

    code: str = Field(description="Permanent code.", examples=["TUB-001"])
    promise: str = Field(description="What holds for the tables, in one sentence.")
    file: str = Field(description="The file that holds the check.", examples=["kb/checks/tube_walls.py"])


class CodesAnswer(AnswerModel):
    """Codes of checks, sorted."""

    codes: tuple[CheckCode, ...]
