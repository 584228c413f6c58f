"""A number with its uncertainty range, as answers report it.

Owns: that shape. Does not own: how the range comes about (`kb/formulas/`, `kb/loops/`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from schemas.answers.base import AnswerModel, Described


@dataclass(frozen=True, slots=True, kw_only=True)
class UncertaintyRange(AnswerModel):
    """A number as it is likely, with the ends of what is plausible."""

    low: Annotated[float, Described("Lower end of the range.")]
    likely: float
    high: Annotated[float, Described("Upper end of the range.")]
