"""From the words on the command line to what a question is made of.

Owns: reading parts (id, JSON, @file, spec-sheet words), conditions, ratios and files.
Does not own: the form of questions (`schemas/questions/questions.py`), JSON itself
(`api/http/requests/strict_json.py`) or what words mean (`kb/parts/search/search.py`).
"""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO, NamedTuple

from api.http.requests.strict_json import JsonError, parse_json
from kb import KnowledgeBase, QuestionError
from kb.store.examples import EXAMPLE, read_example
from schemas.columns.number_text import number_in
from schemas.tables.additives import Additive
from schemas.tables.fluids import Fluid
from schemas.tables.materials import Material

if TYPE_CHECKING:
    from schemas.answers.answers import FoundPart

LARGEST_FILE_BYTES = 4 * 1024 * 1024  # guards memory; the largest loop one can ask about is far smaller
FROM_STANDARD_INPUT = "-"
MOST_CANDIDATES = 5
SURE_SCORE = 0.8  # below it, most of the words answer to something else
SURE_LEAD = 0.05  # closer ones differ in what the words leave open; then the asker chooses, never we
_LOOKS_LIKE_AN_ID = re.compile(r"[a-z][a-z-]*/\S+")
_PARTS = r"(?:0|[1-9][0-9]{0,8})(?:\.[0-9]{1,9})?"
_RATIO = re.compile(rf"({_PARTS}):({_PARTS})")


class GivenPart(NamedTuple):
    """A part as given on the command line, and how it was understood.

    Attributes:
        reference: an id, or an inline part as JSON data.
        remark: how spec-sheet words were understood, `None` if there was nothing to understand.
    """

    reference: str | dict[str, Any]
    remark: str | None = None


def read_part(knowledge: KnowledgeBase, argument: str, field: str) -> GivenPart:
    """Return the part that an argument means.

    Args:
        knowledge: knows the ids, and what words can mean.
        argument: an id, JSON text, @ and a file name, or spec-sheet words.
        field: name of the argument, for errors.

    Raises:
        QuestionError: if the argument is broken JSON, an unreadable file, or words that can mean several parts or none.
    """
    if argument.startswith("@"):
        return GivenPart(read_json_file(argument[1:], field))
    if argument.lstrip().startswith("{"):
        return GivenPart(_json_object(os.fsencode(argument), field))
    if knowledge.snapshot.row(argument) is not None or _LOOKS_LIKE_AN_ID.fullmatch(argument):
        return GivenPart(argument)
    return _from_words(knowledge, argument, field)


def read_json_file(name: str, field: str) -> dict[str, Any]:
    """Return the JSON object that a file holds.

    Args:
        name: file name, `-` for standard input, or `example/NAME` for a loop that comes with the program.
        field: name of the argument, for errors.

    Raises:
        QuestionError: if the file cannot be read, is too large, or holds something else.
    """
    if name.startswith(EXAMPLE):
        return _json_object(read_example(name, field), field)
    try:
        if name == FROM_STANDARD_INPUT:
            content = _limited(sys.stdin.buffer) if sys.stdin is not None else b""
        else:
            with Path(name).open("rb") as file:
                content = _limited(file)
    except OSError as error:
        raise QuestionError(
            field, f"{name!r} cannot be read ({error.strerror})", "name a file that you may read"
        ) from None
    except ValueError:
        raise QuestionError(field, "this is no file name", "name a file that you may read") from None
    if len(content) > LARGEST_FILE_BYTES:
        most = LARGEST_FILE_BYTES // 1024**2
        raise QuestionError(field, f"{name!r} is larger than {most} MiB", "ask about less at once")
    return _json_object(content, field)


def read_conditions(arguments: Iterable[str]) -> dict[str, float]:
    """Return stated conditions from texts such as `coolant-temperature=45`.

    Raises:
        QuestionError: if a text has another form or a name stands twice.

    >>> read_conditions(["coolant-temperature=45"])
    {'coolant-temperature': 45.0}
    """
    conditions: dict[str, float] = {}
    for argument in arguments:
        name, _, number = argument.partition("=")
        value = number_in(number)
        if value is None:
            fix = "write a name and a number, such as coolant-temperature=45"
            raise QuestionError("condition", f"{argument[:80]!r} has no number behind =", fix)
        if name in conditions:
            raise QuestionError("condition", f"{name[:80]!r} is given twice", "give each condition once")
        conditions[name] = float(number)
    return conditions


def read_ratio(argument: str) -> tuple[float, float]:
    """Return both sides of a ratio such as `1:3`.

    Raises:
        QuestionError: if the text has another form.

    >>> read_ratio("1:3")
    (1.0, 3.0)
    """
    match = _RATIO.fullmatch(argument)
    if match is None:
        what = f"{argument[:80]!r} is no ratio"
        raise QuestionError("parts", what, "write parts of concentrate and of water, such as 1:3")
    return float(match[1]), float(match[2])


def _limited(file: BinaryIO) -> bytes:
    return file.read(LARGEST_FILE_BYTES + 1)


def _json_object(content: bytes, field: str) -> dict[str, Any]:
    try:
        value = parse_json(content)
    except JsonError as error:
        raise QuestionError(field, error.what, error.fix) from None
    if not isinstance(value, dict):
        raise QuestionError(field, "the JSON text is no object", 'write {"name": value, ...}')
    return value


def _from_words(knowledge: KnowledgeBase, words: str, field: str) -> GivenPart:
    """Return the one part that words clearly mean."""
    from pydantic import ValidationError  # noqa: PLC0415 - ids need no models of questions

    from schemas.questions.questions import FindQuestion  # noqa: PLC0415

    if not words.strip():
        raise QuestionError(field, "is empty", "give an id, JSON, @FILE or the words of a spec sheet")
    try:
        question = FindQuestion(words=words, limit=MOST_CANDIDATES)
    except ValidationError:
        what = f"{words[:80]!r} is no id, and too long or too strange to be looked up as words"
        raise QuestionError(field, what, "give an id, JSON, @FILE or the words of a spec sheet") from None
    substances = _substances_called(knowledge, words)
    if len(substances) == 1:
        return GivenPart(substances[0], f"{field}: {words!r} is taken as {substances[0]}")
    answer = knowledge.find(**dict(question))
    if not answer.candidates:
        what = f"{words[:80]!r} is no id, and no part is known by these words"
        raise QuestionError(
            field, what, "use an id that exists, or describe the part by its dimensions", answer.nearest
        )
    best = answer.candidates[0]
    if not _is_clear(answer.candidates):
        what = f"{words[:80]!r} can mean several parts"
        raise QuestionError(field, what, "choose one by its id", [one.part for one in answer.candidates])
    return GivenPart(best.part, f"{field}: {words!r} is taken as {best.part} ({best.title})")


def _substances_called(knowledge: KnowledgeBase, words: str) -> list[str]:
    """Return the materials, fluids and additives with exactly this title; to `find`, `copper` means tubes, too."""
    wanted = " ".join(words.split()).casefold()
    tables: tuple[type[Material | Fluid | Additive], ...] = (Material, Fluid, Additive)
    rows = (row for table in tables for row in knowledge.snapshot.active(table))
    return [row.id for row in rows if row.title.casefold() == wanted]


def _is_clear(candidates: tuple[FoundPart, ...]) -> bool:
    """Return whether the first candidate answers the words and stands out from the rest."""
    best, *others = (one.score for one in candidates)
    return best >= SURE_SCORE and all(best - other >= SURE_LEAD for other in others)
