"""From errors to one clear line each and an exit code.

Owns: the words around errors of the command line. Does not own: the errors (`kb/faults.py`), printing (`main.py`).
"""

from __future__ import annotations

import traceback
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import click

from api.cli.exit_codes import ExitCode

if TYPE_CHECKING:
    from pydantic import ValidationError
    from pydantic_core import ErrorDetails

    from kb.faults import QuestionError

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
    from pydantic import ValidationError  # noqa: PLC0415 - usage errors come without it

    from kb import faults  # noqa: PLC0415

    if isinstance(error, faults.QuestionError):
        return Failure((_line(_question_words(error)),), ExitCode.NOT_A_QUESTION)
    if isinstance(error, ValidationError):
        return Failure(tuple(_wrong_fields(error)), ExitCode.NOT_A_QUESTION)
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


def _wrong_fields(error: ValidationError) -> Iterator[str]:
    """Yield a line for every wrong field, the first ten in full."""
    found = error.errors(include_url=False)
    details = [one for one in found if not _is_echo(one, found)]
    for one in details[:MOST_WRONG_FIELDS]:
        yield _line(f"{_place(one) or 'question'}: {_field_words(one)}")
    if len(details) > MOST_WRONG_FIELDS:
        yield _line(f"and {len(details) - MOST_WRONG_FIELDS} more")


def _place(detail: ErrorDetails) -> str:
    """Return the path of a field as the asker sees it: without what the validator adds for unions."""
    steps = [step for step in detail["loc"] if step != "constrained-str"]
    if steps[:1] == ["parts"]:
        del steps[2:3]  # the kind of a device, by which its model is chosen
    if detail["type"] in {"union_tag_invalid", "union_tag_not_found"}:
        steps.append("kind")
    return ".".join(map(str, steps))


def _is_echo(detail: ErrorDetails, details: list[ErrorDetails]) -> bool:
    """Return whether the error of an id, or of an item of a list, says enough without this detail."""
    if detail["type"] == "too_short":  # items that are wrong are not counted
        return any(one["loc"] != detail["loc"] and one["loc"][: len(detail["loc"])] == detail["loc"] for one in details)
    return detail["type"] == "model_type" and str(detail["loc"][-1]).startswith("Inline")


def _field_words(detail: ErrorDetails) -> str:
    context = detail.get("ctx", {})
    given = repr(detail["input"])[:60]
    match detail["type"]:
        case "missing" | "union_tag_not_found":
            return "is missing"
        case "extra_forbidden":
            return "there is no such field; remove it or correct its name"
        case "string_too_short":
            return "is empty"
        case "string_too_long":
            return f"is longer than {context['max_length']} characters"
        case "string_unicode":
            return "holds bytes that are no text"
        case "value_error":
            return str(context["error"])
        case "string_pattern_mismatch":
            return f"{given} is not written as a name here must be ({context['pattern']})"
        case "union_tag_invalid":
            return f"{context['tag'][:60]!r} is not one of {context['expected_tags']}"
        case "literal_error" | "enum":
            return f"{given} is not one of {context['expected']}"
        case _:
            return detail["msg"].replace("Input should be", f"{given} should be")


def _line(words: str) -> str:
    """Return one line, with nothing in it that a terminal would obey, of a length one can read."""
    shown = "".join(mark if mark.isprintable() else " " if mark.isspace() else ascii(mark)[1:-1] for mark in words)
    single = " ".join(shown.split())
    return single if len(single) <= MOST_CHARACTERS else single[:MOST_CHARACTERS] + " ..."
