"""How far the tables reach: what is decided, on what evidence, and what is missing most.

Owns: the form of the answer to "what is covered?". Does not own: counting (`kb/curation/coverage/`).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Annotated

from schemas.answers.answers import Answer
from schemas.answers.base import AnswerModel, Described


@dataclass(frozen=True, slots=True, kw_only=True)
class PairsCovered(AnswerModel):
    """Pairs of two groups of parts, by what decides them."""

    a: Annotated[str, Described("A kind of part, or a family.", examples=["tube"])]
    b: str
    by_rule: Annotated[int, Described("Pairs decided by rules alone.")]
    by_computation: Annotated[
        int, Described("Pairs decided by a computed number held against a limit, rules beside it.")
    ]
    unknown: int

    @property
    def pairs(self) -> int:
        """All pairs of the two groups."""
        return self.by_rule + self.by_computation + self.unknown


@dataclass(frozen=True, slots=True, kw_only=True)
class Share(AnswerModel):
    """How many facts cite one kind of ground."""

    ground: str
    facts: int


@dataclass(frozen=True, slots=True, kw_only=True)
class WeakTable(AnswerModel):
    """How many facts of a table nobody else backs, though they are remembered or of low confidence."""

    table: str
    facts: int
    weak: int
    examples: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StaleFact(AnswerModel):
    """A row that was not held against its source for long."""

    table: str
    row: str
    checked_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap(AnswerModel):
    """Something unknown, with how much would be gained by knowing it."""

    what: str
    loops: Annotated[tuple[str, ...], Described("Example loops that meet it.")]
    weight: Annotated[
        int,
        Described(
            "How often both sides of it are in use: loops with the one part times loops with the other, "
            "summed over the pairs that it leaves unknown."
        ),
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverAnswer(Answer):
    """The map of knowledge."""

    kinds: tuple[PairsCovered, ...]
    families: Annotated[tuple[PairsCovered, ...], Described("Materials in fluids, by their widest families.")]
    by_source: tuple[Share, ...]
    by_basis: tuple[Share, ...]
    weak: tuple[WeakTable, ...]
    stale: tuple[StaleFact, ...]
    stale_after_days: int
    gaps: Annotated[tuple[Gap, ...], Described("The most valuable ones, first those that most example loops meet.")]
    loops_judged: int
