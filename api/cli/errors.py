"""From errors to one clear line each and an exit code.

Owns: the words around errors of the command line. Does not own: the errors (`kb/store/faults.py`), printing
(`main.py`).
"""

from __future__ import annotations

import traceback
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, TypeVar

import click

from api.cli.exit_codes import ExitCode

if TYPE_CHECKING:
    from kb.store.faults import QuestionError
    from schemas.answers.problems import FieldProblem

Error = TypeVar("Error")

MOST_CHARACTERS = 600
MOST_WRONG_FIELDS = 10


class Failure(NamedTuple):
    """How a command failed.

    Attributes:
        lines: what to tell the person, one line an error.
        code: what to tell the script.
    """

    lines: tuple[str, ...]
    code: ExitCode


def failure_of(error: BaseException) -> Failure:
    """Return the lines and the exit code for whatever ended a command.

    >>> failure_of(click.UsageError("No such option: --x")).lines
    ('No such option: --x; see wetted --help',)
    >>> failure_of(KeyboardInterrupt()).code.value
    130
    """
    if isinstance(error, click.ClickException):
        return Failure((_line(_usage_words(error)),), ExitCode.NOT_A_QUESTION)
    if isinstance(error, KeyboardInterrupt | click.Abort):
        return Failure((_line("stopped"),), ExitCode.INTERRUPTED)
    return _failure_of_question(error)


def _usage_words(error: click.ClickException) -> str:
    context = error.ctx if isinstance(error, click.UsageError) else None
    command = context.command_path if context is not None else "wetted"
    return f"{error.format_message().rstrip('.')}; see {command} --help"


def _failure_of_question(error: BaseException) -> Failure:
    """Tell apart what only a command that got as far as the knowledge base can raise."""
    from api.http.requests.questions import WrongFieldsError  # noqa: PLC0415 - usage errors come without pydantic
    from kb.store import faults  # noqa: PLC0415

    if isinstance(error, faults.QuestionError):
        return Failure(tuple(_lines(error.every, _question_words)), ExitCode.NOT_A_QUESTION)
    if isinstance(error, WrongFieldsError):
        return Failure(tuple(_lines(error.problems, _field_words)), ExitCode.NOT_A_QUESTION)
    if isinstance(error, faults.TablesRefusedError):
        count = len(error.faults)
        head = _line(f"the tables were refused, with {count} fault{'s' if count > 1 else ''}")
        return Failure((head, *(_line(str(fault)) for fault in error.faults)), ExitCode.TABLES_REFUSED)
    if isinstance(error, OSError) and error.strerror:
        where = f"{error.filename}: " if error.filename else ""
        return Failure((_line(f"{where}{error.strerror}"),), ExitCode.FAILED)
    return Failure((_line(_internal_words(error)),), ExitCode.FAILED)


def _question_words(error: QuestionError) -> str:
    nearest = f"; nearest: {', '.join(error.nearest)}" if error.nearest else ""
    return f"{error}{nearest}"


def _internal_words(error: BaseException) -> str:
    frames = traceback.extract_tb(error.__traceback__)
    where = f" at {Path(frames[-1].filename).name}:{frames[-1].lineno}" if frames else ""
    return f"internal failure{where}: {type(error).__name__}: {error}"


def _field_words(problem: FieldProblem) -> str:
    return f"{problem.field or 'question'}: {problem.what}; {problem.fix}"


def _lines(errors: Sequence[Error], words: Callable[[Error], str]) -> Iterator[str]:
    """Yield a line for every error, the first ten in full."""
    for one in errors[:MOST_WRONG_FIELDS]:
        yield _line(words(one))
    if len(errors) > MOST_WRONG_FIELDS:
        from api.http.requests.field_errors import MOST_PROBLEMS  # noqa: PLC0415

        at_least = "at least " if len(errors) >= MOST_PROBLEMS else ""  # looking for more ended there
        yield _line(f"and {at_least}{len(errors) - MOST_WRONG_FIELDS} more")


def _line(words: str) -> str:
    """Return one line, with nothing in it that a terminal would obey, of a length one can read."""
    shown = "".join(mark if mark.isprintable() else " " if mark.isspace() else ascii(mark)[1:-1] for mark in words)
    single = " ".join(shown.split())
    return single if len(single) <= MOST_CHARACTERS else single[:MOST_CHARACTERS] + " ..."
