"""What the program says in words of its own.

Owns: the columns of `kb/tables/messages.csv`. Does not own: which messages there are (`schemas/messages.py`), checking
across tables, or filling the places.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import id_column


class MessageKind(StrEnum):
    """What a message is."""

    GAP = "gap"
    SENTENCE = "sentence"
    PHRASE = "phrase"


@dataclass(frozen=True, slots=True, kw_only=True)
class Message:
    """What the program says in words of its own; the words of rules, limits and cautions stand in their rows."""

    table: ClassVar[str] = "messages"

    id: Annotated[str, id_column("message", "dimension-missing")]
    kind: Annotated[
        MessageKind,
        Column(
            title="kind",
            description="A sentence about what is not known, another whole sentence, or a phrase inside one.",
            example="gap",
        ),
    ]
    sentence: Annotated[
        str,
        Column(
            title="sentence",
            description="The words, with the names of places that the program fills in braces.",
            example="The {what} of {subject} is not known, so this cannot be judged.",
        ),
    ]
    remedy: Annotated[
        str | None,
        Column(
            title="remedy",
            description="What would make it right, with places like the sentence; of what is not known alone.",
            example="Measure it or take it from the spec sheet, and ask again.",
        ),
    ]
    places: Annotated[
        tuple[str, ...],
        Column(
            title="places",
            description="The places that the program fills, blank between names; the words use each of them.",
            example="what subject",
        ),
    ]
    note: Annotated[
        str | None, Column(title="note", description="What a reader of the row should know.", example="said of a pair")
    ]
