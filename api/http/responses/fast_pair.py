"""The fast path to /v1/pair: plain questions by address, answered without the framework.

Owns: recognising a plain question. Does not own: the address (`api/http/routes/pair.py`), which declares it, answers
everything that is not plain, and words every refusal; a test holds both to the same answers.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from pydantic import ValidationError

from api.http.problems.problems import ProblemError
from api.http.requests.strict_route import ConditionRoute
from api.http.requests.strict_url import number_or_text, read_query
from kb.knowledge_base import KnowledgeBase
from kb.store.faults import QuestionError
from schemas.questions.questions import LONGEST_ID, PairQuestion

_ID = rb"[a-z]+(?:-[a-z]+)*/[a-z0-9]+(?:-[a-z0-9]+)*"
_TWO_IDS = re.compile(rb"a=(" + _ID + rb")&b=(" + _ID + rb")")
_SLASH = b"%2F"  # as most programs send it


def fast_pair(base: KnowledgeBase) -> Callable[[bytes], bytes | None]:
    """Return a function that answers the query string of a pair in JSON, `None` if it is not a plain valid question."""

    def answer(query: bytes) -> bytes | None:
        try:
            ids = _two_ids(query)
            if ids is not None:
                return base.archetypes_json(*ids)
            question = _question(read_query(query))
            return base.pair_json(question) if question is not None else None
        except (ProblemError, ValidationError, QuestionError):
            return None

    return answer


def _two_ids(query: bytes) -> tuple[str, str] | None:
    """Return the ids of a query string that holds two of them and nothing else, which is how nearly all look."""
    found = _TWO_IDS.fullmatch(query.replace(_SLASH, b"/"))
    if found is None:
        return None
    a, b = found[1].decode(), found[2].decode()
    return (a, b) if max(len(a), len(b)) <= LONGEST_ID else None


def _question(given: dict[str, str]) -> PairQuestion | None:
    conditions = {}
    for name, value in given.items():
        if name.startswith(ConditionRoute.open_prefix):
            conditions[name.removeprefix(ConditionRoute.open_prefix)] = number_or_text(value)
        elif name not in ("a", "b"):
            return None
    return PairQuestion.model_validate(
        {**{name: given[name] for name in "ab" if name in given}, "conditions": conditions}
    )
