"""Shapes of tables, questions and answers, and units.

Owns: what a row, a question and an answer look like; questions and answers can be imported from here by their names.
Does not own: any knowledge or reasoning; imports nothing of ours.
"""

from __future__ import annotations

from importlib import import_module
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from schemas.answers.answers import (
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
    from schemas.answers.loop import LoopAnswer
    from schemas.questions.loop import LoopQuestion
    from schemas.questions.questions import (
        BetweenQuestion,
        FindQuestion,
        MatrixQuestion,
        MixQuestion,
        PairQuestion,
        PartnersQuestion,
        SuitableFluidsQuestion,
        SuitableMaterialsQuestion,
    )
    from schemas.verdict import Verdict

__all__ = [
    "BetweenAnswer",
    "BetweenQuestion",
    "FindAnswer",
    "FindQuestion",
    "LoopAnswer",
    "LoopQuestion",
    "MatrixAnswer",
    "MatrixQuestion",
    "MixAnswer",
    "MixQuestion",
    "PairAnswer",
    "PairQuestion",
    "PartnersAnswer",
    "PartnersQuestion",
    "RecordAnswer",
    "RecordsAnswer",
    "SuitableAnswer",
    "SuitableFluidsQuestion",
    "SuitableMaterialsQuestion",
    "Verdict",
    "VersionAnswer",
]

_ELSEWHERE = MappingProxyType(
    {
        "LoopAnswer": "schemas.answers.loop",
        "LoopQuestion": "schemas.questions.loop",
        "Verdict": "schemas.verdict",
    }
)


def __getattr__(name: str) -> Any:
    """Import a question or an answer when it is first asked for: a pair needs nothing of what loops are made of."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    usual = "schemas.questions.questions" if name.endswith("Question") else "schemas.answers.answers"
    return getattr(import_module(_ELSEWHERE.get(name, usual)), name)
