"""What one row of a bulk file is answered, and the single exact way to it.

Owns: question -> outcome, mistakes included. Does not own: judging (`kb/compatibility/pair.py`), or rows in number
(`kb/bulk/resolved.py`).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, NamedTuple

from pydantic import ValidationError

from kb.bulk.slices import MET
from kb.compatibility.joints.joint import decided_by, deciding_finding
from kb.compatibility.pair import PairDecision
from kb.knowledge_base import KnowledgeBase
from kb.store.faults import QuestionError
from schemas.columns.number_text import number_in
from schemas.questions.choices import LONGEST_ID
from schemas.questions.questions import PairQuestion
from schemas.verdict import Verdict

LONGEST_SHOWN = 80
ReadInline = Callable[[bytes], Any]


class Outcome(NamedTuple):
    """What a row is answered: a verdict with what decided it, or an error.

    Attributes:
        verdict: the verdict; `None` if the row cannot be judged.
        code: code of the finding that is reported first.
        decided_by: ids of the rules and limits that decide, separated by spaces.
        error: what is wrong with the row; empty if nothing is.
    """

    verdict: Verdict | None
    code: str
    decided_by: str
    error: str = ""


class Asked(NamedTuple):
    """One question as a row writes it.

    Attributes:
        a: an id, or JSON of an inline part.
        b: another.
        conditions: quantity name and number as text, or `met` and requirements; what is empty is left out.
    """

    a: str
    b: str
    conditions: tuple[tuple[str, str], ...] = ()


def outcome_of(decision: PairDecision) -> Outcome:
    """Return a decision as the outcome of a row."""
    joint = decision.joint
    return Outcome(decision.verdict, deciding_finding(joint).code, " ".join(decided_by(joint)))


def answered(base: KnowledgeBase, asked: Asked, read_inline: ReadInline) -> Outcome:
    """Answer one row the way a single question is answered.

    Args:
        base: answers it.
        asked: the question.
        read_inline: reads the JSON of an inline part; raises ValueError if it is none.
    """
    try:
        conditions = {name: _number(name, text) for name, text in asked.conditions if name != MET}
        met = [one for name, text in asked.conditions if name == MET for one in text.split()]
        if not conditions and not met and _may_be_id(asked.a) and _may_be_id(asked.b):
            return outcome_of(base.decide(asked.a, asked.b))
        parts = {name: _part(name, text, read_inline) for name, text in (("a", asked.a), ("b", asked.b))}
        return outcome_of(
            base.decide_question(PairQuestion.model_validate({**parts, "conditions": conditions, "met": met}))
        )
    except QuestionError as error:
        near = f"; nearest: {', '.join(error.nearest)}" if error.nearest else ""
        return _mistake(f"{error}{near}")
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        return _mistake(f"{'.'.join(map(str, first['loc']))}: {first['msg']}")
    except ValueError as error:
        return _mistake(str(error))


def _mistake(words: str) -> Outcome:
    return Outcome(None, "", "", " ".join(words.split())[: 8 * LONGEST_SHOWN])


def _may_be_id(text: str) -> bool:
    return 0 < len(text) <= LONGEST_ID and not text.startswith("{")


def _part(name: str, text: str, read_inline: ReadInline) -> Any:
    if not text:
        raise ValueError(f"{name}: is empty; give an id or the JSON of a part")
    if not text.startswith("{"):
        return text
    try:
        return read_inline(text.encode())
    except ValueError as error:
        raise ValueError(f"{name}: {error}") from None


def _number(name: str, text: str) -> float:
    value = number_in(text)
    if value is None or not math.isfinite(value):
        raise ValueError(f"{name}: {text[:LONGEST_SHOWN]!r} is no finite number; write one, or leave the cell empty")
    return value
