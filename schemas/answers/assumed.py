"""A value that was assumed because nobody stated it, as answers report it.

Owns: that shape. Does not own: the values (assumptions.csv) or choosing them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from schemas.answers.base import AnswerModel, Described


@dataclass(frozen=True, slots=True, kw_only=True)
class AssumedValue(AnswerModel):
    """A quantity nobody stated, and the value that was taken instead."""

    quantity: Annotated[str, Described("Row of the quantities table.", examples=["quantity/pump-speed"])]
    title: str
    value: float
    unit: str
    row: Annotated[str, Described("Row of the table that says so.", examples=["assumption/pump-speed"])]
    source: str
    note: str | None = None
