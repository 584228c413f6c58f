"""One entry of a batch: a question becomes an answer, a mistake becomes a problem, and neither touches its neighbours.

Owns: the form of an entry, and that whatever happens to one stays with it. Does not own: answers (`kb/`), problems
(`api/http/problems/problems.py`) or sending (`api/http/batch/response.py`).
"""

from __future__ import annotations

import logging
import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from api.http.batch.request_stream import Entry, Parsed
from api.http.problems.problem_kinds import INTERNAL_ERROR
from api.http.problems.problems import ProblemError, problem_document, problem_of_question, problem_of_spent
from api.http.requests.request_body import posed, usable_json
from kb.knowledge_base import KnowledgeBase
from kb.loops.deadline import Budget, BudgetSpentError
from kb.store.faults import QuestionError
from schemas.answers.base import AnswerModel

_LOG = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Asking:
    """One kind of question that can be asked in batches.

    Attributes:
        word: last part of the addresses `/v1/<word>` and `/v1/batch/<word>`.
        summary: what a batch of it asks, in a line.
        question: model of the question.
        answer: model of the answer.
        ask: asks a knowledge base; what takes long gives up when its time is spent.
        at_once: how many of them are answered before anybody else gets a turn.
    """

    word: str
    summary: str
    question: type[BaseModel]
    answer: type[AnswerModel]
    ask: Callable[[KnowledgeBase, Any, Budget], AnswerModel]
    at_once: int

    @property
    def path(self) -> str:
        """Address of a batch."""
        return f"/v1/batch/{self.word}"


def answered(
    base: KnowledgeBase,
    asking: Asking,
    first: int,
    entries: Iterable[Entry],
    longest_s: float = math.inf,
    request_id: str = "",
) -> bytes:
    """Return the answers of entries as NDJSON, one line an entry, in their order.

    Args:
        base: answers all of them.
        asking: what is asked.
        first: index of the first entry in its batch.
        entries: the entries.
        longest_s: how long each of them may take [s].
        request_id: name of the request, told in every problem.
    """
    lines = []
    for index, entry in enumerate(entries, first):
        said: AnswerModel
        try:
            what, said = "answer", asking.ask(base, _question(asking.question, entry), Budget(longest_s))
        except Exception as error:
            what, said = "problem", problem_document(_problem_of(error), f"{asking.path}/{index}", request_id)
        lines.append(f'{{"index":{index},"{what}":{said.to_json()}}}\n'.encode())
    return b"".join(lines)


def _question(model: type[BaseModel], entry: Entry) -> BaseModel:
    if isinstance(entry, ProblemError):
        raise entry
    return posed(model, entry.value if isinstance(entry, Parsed) else usable_json(entry))


def _problem_of(error: Exception) -> ProblemError:
    """Return whatever ended a question as a problem."""
    if isinstance(error, ProblemError):
        return error
    if isinstance(error, QuestionError):
        return problem_of_question(error)
    if isinstance(error, BudgetSpentError):
        return problem_of_spent(error)
    _LOG.error("a question of a batch broke", exc_info=error)
    return ProblemError(INTERNAL_ERROR)
