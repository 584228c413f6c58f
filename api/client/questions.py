"""The questions of the client's methods: plain arguments in, a call out.

Owns: what the methods of both clients have in common. Does not own: sending.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, TypeAlias

from api.client.calls import Call, asking
from schemas.answers.answers import (
    BetweenAnswer,
    FindAnswer,
    MatrixAnswer,
    MixAnswer,
    PairAnswer,
    PartnersAnswer,
    SuitableAnswer,
)
from schemas.answers.loop import LoopAnswer
from schemas.questions.loop import LoopQuestion
from schemas.questions.questions import (
    BetweenQuestion,
    FindQuestion,
    InlinePart,
    MatrixQuestion,
    MixQuestion,
    PairQuestion,
    PartnersQuestion,
    SuitableFluidsQuestion,
    SuitableMaterialsQuestion,
)

PartLike: TypeAlias = str | InlinePart | Mapping[str, Any]


def pair(a: PartLike, b: PartLike, conditions: Mapping[str, float] | None = None) -> Call[PairAnswer]:
    """Ask whether two parts are compatible."""
    return asking(PairQuestion.model_validate(_given(a=a, b=b, conditions=conditions)), PairAnswer)


def partners(part: PartLike, **given: Any) -> Call[PartnersAnswer]:
    """Ask which archetypes of a kind fit a part."""
    return asking(PartnersQuestion.model_validate(_given(part=part, **given)), PartnersAnswer)


def between(a: PartLike, b: PartLike, **given: Any) -> Call[BetweenAnswer]:
    """Ask what goes between two parts."""
    return asking(BetweenQuestion.model_validate(_given(a=a, b=b, **given)), BetweenAnswer)


def find(words: str, **given: Any) -> Call[FindAnswer]:
    """Ask which archetypes spec-sheet words can mean."""
    return asking(FindQuestion.model_validate(_given(words=words, **given)), FindAnswer)


def loop(question: LoopQuestion | Mapping[str, Any]) -> Call[LoopAnswer]:
    """Ask whether a loop can be assembled."""
    return asking(LoopQuestion.model_validate(_plain(question)), LoopAnswer)


def fluids(parts: Iterable[PartLike], **given: Any) -> Call[SuitableAnswer]:
    """Ask which fluids are compatible with materials or parts."""
    values = _given(parts=[_plain(part) for part in parts], **given)
    return asking(SuitableFluidsQuestion.model_validate(values), SuitableAnswer)


def materials(fluid: PartLike, **given: Any) -> Call[SuitableAnswer]:
    """Ask which materials are compatible with a fluid."""
    return asking(SuitableMaterialsQuestion.model_validate(_given(fluid=fluid, **given)), SuitableAnswer)


def matrix(rows: str, columns: str, **given: Any) -> Call[MatrixAnswer]:
    """Ask how all members of two families get on."""
    return asking(MatrixQuestion.model_validate(_given(rows=rows, columns=columns, **given)), MatrixAnswer)


def mix(glycol: str, concentrate_parts: float, water_parts: float, **given: Any) -> Call[MixAnswer]:
    """Ask what comes of mixing a glycol concentrate with water."""
    values = _given(glycol=glycol, concentrate_parts=concentrate_parts, water_parts=water_parts, **given)
    return asking(MixQuestion.model_validate(values), MixAnswer)


def _given(**values: Any) -> dict[str, Any]:
    return {name: _plain(value) for name, value in values.items() if value is not None}


def _plain(value: Any) -> Any:
    """Return a model as the data it stands for, so that it may be validated like any other."""
    if isinstance(value, InlinePart | LoopQuestion):
        return value.model_dump(by_alias=True)
    return dict(value) if isinstance(value, Mapping) else value
