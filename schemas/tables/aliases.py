"""What spec sheets and people call things.

Owns: the columns of `kb/tables/aliases.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column
from schemas.tables.rules import RULE_PARTIES


class AliasRelation(StrEnum):
    """How sure it is that the words mean the part."""

    SAME = "same"
    ALSO_SOLD_AS = "also-sold-as"
    OFTEN_CONFUSED = "often-confused"


@dataclass(frozen=True, slots=True, kw_only=True)
class Alias(Sourced):
    """What spec sheets and people call things."""

    table: ClassVar[str] = "aliases"

    id: Annotated[str, id_column("alias", "bspp-1-4")]
    words: Annotated[
        str,
        Column(
            title="words",
            description="The words as people write them, in lower case and plain characters.",
            example="bspp 1/4",
        ),
    ]
    part_id: Annotated[
        str,
        Column(
            title="meant",
            description="The part or family meant.",
            example="thread/g-1-4",
            refers_to=RULE_PARTIES,
        ),
    ]
    relation: Annotated[
        AliasRelation,
        Column(
            title="relation",
            description="Whether the words mean exactly this, are also used for it, or are often mistaken for it.",
            example="same",
        ),
    ]
