"""Carries out the commands that read the tables.

Owns: arguments -> answer -> printed. Does not own: reading (`kb/report/answers/rows.py`).
"""

from __future__ import annotations

from api.cli.exit_codes import ExitCode
from api.cli.render import render
from kb import load


def show_row(row_id: str, as_json: bool) -> ExitCode:
    """Print one row with its source.

    Raises:
        QuestionError: if no row has this id.
    """
    knowledge = load()
    render(knowledge, knowledge.record(row_id), as_json)
    return ExitCode.DONE


def list_rows(table: str, family: str | None, after: str | None, limit: int, as_json: bool) -> ExitCode:
    """Print a page of a table.

    Raises:
        QuestionError: if the table or family does not exist.
    """
    knowledge = load()
    render(knowledge, knowledge.records(table, family, after, limit), as_json)
    return ExitCode.DONE


def show_version(as_json: bool) -> ExitCode:
    """Print the version of the tables and their sizes."""
    knowledge = load()
    render(knowledge, knowledge.tables(), as_json)
    return ExitCode.DONE
