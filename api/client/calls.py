"""Every call of the service as data: what is sent, and what comes back.

Owns: questions -> requests and responses -> answers. Does not own: sending (`api/client/sync_client.py`,
`api/client/async_client.py`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Generic, TypeVar
from urllib.parse import quote

from pydantic import BaseModel, ValidationError

from api.client.errors import NoAnswerError
from schemas.answers.answers import (
    Answer,
    BetweenAnswer,
    FindAnswer,
    MatrixAnswer,
    MixAnswer,
    PairAnswer,
    PartnersAnswer,
    RecordAnswer,
    RecordsAnswer,
    SuitableAnswer,
    VersionAnswer,
)
from schemas.answers.base import AnswerModel
from schemas.answers.loop import LoopAnswer
from schemas.answers.problems import Problem
from schemas.questions.loop import LoopQuestion
from schemas.questions.questions import (
    Asked,
    BetweenQuestion,
    FindQuestion,
    MatrixQuestion,
    MixQuestion,
    PairQuestion,
    PartnersQuestion,
    SuitableFluidsQuestion,
    SuitableMaterialsQuestion,
)

MOST_AT_ONCE = 1000
MOST_BYTES_AT_ONCE = 4 * 1024 * 1024
PIN = "Wetted-Version"
PATIENCE_S = 30.0
PAGE = 200
JSON, NDJSON = "application/json", "application/x-ndjson"

Answered = TypeVar("Answered", bound=AnswerModel)


@dataclass(frozen=True, slots=True)
class Call(Generic[Answered]):
    """One request and the form of its answer.

    Attributes:
        method: HTTP method.
        path: path on the service.
        answer: model of the answer.
        body: the question, if it is posted.
        parameters: query parameters.
    """

    method: str
    path: str
    answer: type[Answered]
    body: bytes | None = None
    parameters: tuple[tuple[str, str], ...] = ()

    def read(self, status: int, body: bytes) -> Answered:
        """Return the answer that a response holds.

        Raises:
            NoAnswerError: if it holds none.
        """
        try:
            return self.answer.from_json(body)
        except ValidationError:
            raise NoAnswerError(f"status {status} without an answer of this service", status) from None


@dataclass(frozen=True, slots=True)
class BatchEntry(Generic[Answered]):
    """The answer to one question of a batch, or the problem with it.

    Attributes:
        index: place of the question among all questions, from 0.
        answer: the answer, `None` if there is a problem.
        problem: the problem, `None` if there is an answer.
    """

    index: int
    answer: Answered | None
    problem: Problem | None


_ADDRESSES: Mapping[type[Asked], tuple[str, type[Answer]]] = MappingProxyType(
    {
        PairQuestion: ("pair", PairAnswer),
        PartnersQuestion: ("partners", PartnersAnswer),
        BetweenQuestion: ("between", BetweenAnswer),
        FindQuestion: ("find", FindAnswer),
        LoopQuestion: ("loop", LoopAnswer),
        SuitableFluidsQuestion: ("fluids", SuitableAnswer),
        SuitableMaterialsQuestion: ("materials", SuitableAnswer),
        MatrixQuestion: ("matrix", MatrixAnswer),
        MixQuestion: ("mix", MixAnswer),
    }
)


def asking(question: Asked, answer: type[Answered]) -> Call[Answered]:
    """Return the call that asks a question.

    >>> asking(PairQuestion(a="thread/g-1-4", b="thread/g-1-4"), PairAnswer).path
    '/v1/pair'
    """
    return Call("POST", f"/v1/{_ADDRESSES[type(question)][0]}", answer, written(question))


def reading(row_id: str) -> Call[RecordAnswer]:
    """Return the call that reads one row by its id."""
    return Call("GET", f"/v1/rows/{quote(row_id)}", RecordAnswer)


def listing() -> Call[VersionAnswer]:
    """Return the call that lists the tables."""
    return Call("GET", "/v1/tables", VersionAnswer)


def paging(table: str, family: str | None, after: str | None, limit: int) -> Call[RecordsAnswer]:
    """Return the call that reads one page of a table."""
    given = {"family": family, "after": after, "limit": str(limit)}
    parameters = tuple((name, value) for name, value in given.items() if value is not None)
    return Call("GET", f"/v1/tables/{quote(table, safe='')}", RecordsAnswer, parameters=parameters)


def written(question: Asked) -> bytes:
    """Return a question as it is sent, under the names of the service."""
    return question.model_dump_json(by_alias=True).encode()


class Batch(Generic[Answered]):
    """Some questions on their way: what was answered is not asked again, however often the connection breaks."""

    def __init__(self, kind: type[Asked], lines: list[bytes], first: int) -> None:
        word, self._answer = _ADDRESSES[kind]
        self.path = f"/v1/batch/{word}"
        self._lines, self._first, self._done, self._offset = lines, first, 0, 0

    @property
    def is_done(self) -> bool:
        """Whether every question has got its entry."""
        return self._done == len(self._lines)

    def body(self) -> bytes:
        """Return the questions that have no entry yet, for another request."""
        self._offset = self._done
        return b"\n".join(self._lines[self._done :])

    def entry(self, line: str) -> BatchEntry[Any]:
        """Return the entry that a line of the response holds.

        Raises:
            NoAnswerError: if it holds none, or one out of order.
        """
        try:
            entry = _Entry.model_validate_json(line)
            answer = None if entry.answer is None else self._answer.from_dict(entry.answer)
        except ValidationError:
            raise NoAnswerError("a line of the batch is no entry of this service") from None
        if (answer is None) == (entry.problem is None):
            raise NoAnswerError("an entry of the batch holds not one of answer and problem")
        if entry.index + self._offset != self._done or self.is_done:
            raise NoAnswerError("an entry of the batch is out of order")
        self._done += 1
        return BatchEntry(self._first + self._done - 1, answer, entry.problem)


class _Entry(BaseModel):
    index: int
    answer: dict[str, Any] | None = None
    problem: Problem | None = None


def batches(questions: Iterable[Asked]) -> Iterator[Batch[Any]]:
    """Yield questions in batches of a size that can be asked again.

    Args:
        questions: any number of them, all of one kind; they are read as they are needed.

    Raises:
        TypeError: if they are of several kinds, or of one that is not asked in batches.
    """
    lines: list[bytes] = []
    kind, first, size = None, 0, 0
    for question in questions:
        if kind is not None and type(question) is not kind:
            raise TypeError(f"a batch holds one kind of question, not {kind.__name__} and {type(question).__name__}")
        kind, line = type(question), written(question)
        if len(lines) == MOST_AT_ONCE or size + len(line) > MOST_BYTES_AT_ONCE:
            yield Batch(kind, lines, first)
            lines, first, size = [], first + len(lines), 0
        lines.append(line)
        size += len(line)
    if kind is not None:
        yield Batch(kind, lines, first)
