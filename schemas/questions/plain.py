"""Plain arguments -> questions, the same for the knowledge base in process and for clients of the service.

Owns: what `a, b, conditions` and the like become. Does not own: the form of questions
(`schemas/questions/questions.py`, `schemas/questions/loop.py`), which is loaded when something is asked, or the
arguments' defaults (`schemas/interface.py`). Every function raises `pydantic.ValidationError`, a `ValueError`, if the
arguments make no question.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias, TypeGuard

import schemas
from schemas.questions.choices import LONGEST_ID

if TYPE_CHECKING:
    from schemas.questions.loop import LoopQuestion
    from schemas.questions.questions import (
        AnyInlinePart,
        BetweenQuestion,
        FindQuestion,
        MatrixQuestion,
        MixQuestion,
        PairQuestion,
        PartnersQuestion,
        SuitableFluidsQuestion,
        SuitableMaterialsQuestion,
    )

PartLike: TypeAlias = "str | AnyInlinePart | Mapping[str, Any]"
LoopLike: TypeAlias = "LoopQuestion | Mapping[str, Any]"


class TwoParts(NamedTuple):
    """Two parts and what is stated of them, as `PairQuestion` holds them."""

    a: str | AnyInlinePart
    b: str | AnyInlinePart
    conditions: Mapping[str, float]
    met: tuple[str, ...] = ()


def two_parts(
    a: PartLike, b: PartLike, conditions: Mapping[str, float] | None = None, met: Iterable[str] = ()
) -> TwoParts:
    """Return valid arguments of a pair; two ids leave nothing to validate, and no model is loaded for them.

    >>> two_parts("thread/g-1-4", {"is": "thread/npt-1-4"}, {"coolant-temperature": 45.0}).b.is_
    'thread/npt-1-4'
    """
    if not conditions and not met and _is_id(a) and _is_id(b):
        return TwoParts(a, b, {})
    question = pair(a, b, conditions, met)
    return TwoParts(question.a, question.b, question.conditions, question.met)


def _is_id(part: PartLike) -> TypeGuard[str]:
    return isinstance(part, str) and 0 < len(part) <= LONGEST_ID


def pair(
    a: PartLike, b: PartLike, conditions: Mapping[str, float] | None = None, met: Iterable[str] = ()
) -> PairQuestion:
    """Ask whether two parts are compatible."""
    listed = met if isinstance(met, str) else tuple(met)
    return schemas.PairQuestion.model_validate(_given(a=a, b=b, conditions=conditions, met=listed))


def partners(part: PartLike, kind: str, verdicts: Iterable[str], limit: int) -> PartnersQuestion:
    """Ask which archetypes of a kind fit a part."""
    return schemas.PartnersQuestion.model_validate(_given(part=part, kind=kind, verdicts=verdicts, limit=limit))


def between(a: PartLike, b: PartLike, limit: int) -> BetweenQuestion:
    """Ask what goes between two parts."""
    return schemas.BetweenQuestion.model_validate(_given(a=a, b=b, limit=limit))


def find(words: str, kind: str | None, limit: int) -> FindQuestion:
    """Ask which archetypes spec-sheet words can mean."""
    return schemas.FindQuestion.model_validate(_given(words=words, kind=kind, limit=limit))


def loop(question: LoopLike) -> LoopQuestion:
    """Ask whether a loop can be assembled."""
    return schemas.LoopQuestion.model_validate(_plain(question))


def fluids(
    parts: Iterable[PartLike], additives: Iterable[str], conditions: Mapping[str, float] | None, limit: int
) -> SuitableFluidsQuestion:
    """Ask which fluids are compatible with materials or parts."""
    listed = parts if isinstance(parts, str) else tuple(map(_plain, parts))
    given = _given(parts=listed, additives=additives, conditions=conditions, limit=limit)
    return schemas.SuitableFluidsQuestion.model_validate(given)


def materials(
    fluid: PartLike, family: str | None, conditions: Mapping[str, float] | None, limit: int
) -> SuitableMaterialsQuestion:
    """Ask which materials are compatible with a fluid."""
    given = _given(fluid=fluid, family=family, conditions=conditions, limit=limit)
    return schemas.SuitableMaterialsQuestion.model_validate(given)


def matrix(rows: str, columns: str, conditions: Mapping[str, float] | None) -> MatrixQuestion:
    """Ask how all members of two families get on."""
    return schemas.MatrixQuestion.model_validate(_given(rows=rows, columns=columns, conditions=conditions))


def mix(
    glycol: str,
    concentrate_parts: float,
    water_parts: float,
    concentrate_glycol_percent: float,
    temperature_c: float,
) -> MixQuestion:
    """Ask what comes of mixing a glycol concentrate with water."""
    given = _given(
        glycol=glycol,
        concentrate_parts=concentrate_parts,
        water_parts=water_parts,
        concentrate_glycol_percent=concentrate_glycol_percent,
        temperature_c=temperature_c,
    )
    return schemas.MixQuestion.model_validate(given)


def _given(**values: Any) -> dict[str, Any]:
    """Return arguments as the fields of a question; what is `None` is left to the question."""
    return {name: _plain(value) for name, value in values.items() if value is not None}


def _plain(value: Any) -> Any:
    """Return a mapping of any sort as the dictionary that models read."""
    return dict(value) if isinstance(value, Mapping) else value
