"""What a change of the tables means: rows, verdicts of pairs, verdicts of example loops.

Owns: the form of the answer to "what changes between these two states of the tables?". Does not own: finding it out
(`kb/curation/diff/`).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated

from schemas.answers.answers import Cell
from schemas.answers.base import AnswerModel, Described
from schemas.verdict import Verdict


class RowFate(StrEnum):
    """What became of a row."""

    ADDED = "added"
    REMOVED = "removed"
    WITHDRAWN = "withdrawn"
    RESTORED = "restored"
    CHANGED = "changed"


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionName(AnswerModel):
    """One state of the tables."""

    name: Annotated[str, Described("As it was asked for: a revision, a folder, or the work tree.")]
    version: Annotated[str, Described("Calendar version and digest of its tables.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class CellChange(AnswerModel):
    """One value that differs; none means that the cell is empty."""

    column: str
    before: Cell
    after: Cell


@dataclass(frozen=True, slots=True, kw_only=True)
class RowChange(AnswerModel):
    """One row that differs in meaning."""

    table: str
    row: str
    title: str
    fate: RowFate
    cells: Annotated[
        tuple[CellChange, ...], Described("Columns that differ; empty for rows that are added or removed.")
    ] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class VerdictChange(AnswerModel):
    """One pair of archetypes that is judged otherwise."""

    a: str
    b: str
    before: Verdict
    after: Verdict
    causes: Annotated[
        tuple[str, ...],
        Described(
            "Changed rows on which the verdict stood before or stands now; if it cites none of them, those "
            "through which the pair was reached, such as a family."
        ),
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartChange(AnswerModel):
    """One archetype that can be asked about in one of the two states only."""

    part: str
    title: str
    appears: Annotated[bool, Described("True if it is new; false if it is gone or withdrawn.")]
    verdicts: Annotated[dict[Verdict, int], Described("How many other archetypes it has each verdict with.")]
    fits: Annotated[tuple[str, ...], Described("Archetypes it is compatible with, then those under a condition.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingChange(AnswerModel):
    """One reason in a example loop that is new, gone, or of another verdict."""

    code: str
    place: str
    before: Verdict | None
    after: Verdict | None
    causes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LoopChange(AnswerModel):
    """One example loop that is judged otherwise."""

    loop: str
    before: Annotated[Verdict | None, Described("None if the loop cannot be asked there.")]
    after: Verdict | None
    refusals: Annotated[tuple[str, ...], Described("Why it cannot be asked.")] = ()
    findings: tuple[FindingChange, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DiffAnswer(AnswerModel):
    """What a change of the tables means."""

    before: RevisionName
    after: RevisionName
    rows: tuple[RowChange, ...]
    parts: tuple[PartChange, ...]
    verdicts: tuple[VerdictChange, ...]
    loops: tuple[LoopChange, ...]
    pairs: Annotated[int, Described("Pairs of archetypes that can be asked about in both states.")]
    pairs_judged: Annotated[int, Described("Those among them that a changed row can reach; the others cannot change.")]
    loops_judged: int
