"""Who says so: the block of columns that every row of facts, rules and limits carries.

Owns: provenance and withdrawal columns. Does not own: the sources themselves (`schemas/tables/sources.py`).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column


class Basis(StrEnum):
    """On what kind of ground a value stands."""

    PUBLISHED = "published"
    MEASURED = "measured"
    COMPUTED = "computed"
    SEARCHED = "searched"
    COMMON_PRACTICE = "common-practice"
    FROM_MEMORY = "from-memory"


class Confidence(StrEnum):
    """How far a value may be trusted; DEVELOPERS.md says how it is judged."""

    HIGH = "high"
    MEDIUM = "medium"
    LOW = "low"


class HowSeen(StrEnum):
    """In what form a source was really read."""

    ORIGINAL = "original"
    ABSTRACT = "abstract"
    SECOND_HAND = "second-hand"
    COMPUTED = "computed"
    NOT_SEEN = "not-seen"


def id_column(prefix: str, example: str) -> Column:
    """Declare the id column of a table whose ids look like `prefix/slug`; several prefixes are parted by `|`."""
    return Column(
        title="id",
        description="Permanent name of the row; never reused.",
        example=f"{prefix.split('|', 1)[0]}/{example}",
        pattern=rf"({prefix})/[a-z0-9]+(-[a-z0-9]+)*",
        unique=True,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Sourced:
    """Columns at the end of every table row: where the row comes from and whether it still stands."""

    table: ClassVar[str]

    source_id: Annotated[
        str,
        Column(
            title="source",
            description="Row of sources.csv that the values belong to.",
            example="source/iso-228-1",
            refers_to=("sources",),
        ),
    ]
    locator: Annotated[
        str | None,
        Column(
            title="locator",
            description="Place inside the source: table, clause, page, column or file.",
            example="Table 1",
        ),
    ]
    basis: Annotated[
        Basis,
        Column(
            title="basis",
            description=(
                "Published, measured, computed, searched (a search that found nothing), common practice (a trade habit "
                "without a source) or an unverified estimate."
            ),
            example="published",
        ),
    ]
    confidence: Annotated[
        Confidence,
        Column(title="confidence", description="How far the row may be trusted.", example="high"),
    ]
    checked_on: Annotated[
        date,
        Column(
            title="checked on",
            description="Day on which the row was last held against its source.",
            example="2026-11-25",
        ),
    ]
    checked_by: Annotated[
        str | None,
        Column(title="checked by", description="Role of who held it against its source.", example="editor"),
    ] = None
    how_seen: Annotated[
        HowSeen | None,
        Column(
            title="how seen",
            description="In what form the source was read for this very row; empty where there is none to read.",
            example="original",
        ),
    ] = None
    confirmed_by: Annotated[
        str | None,
        Column(
            title="confirmed by",
            description=(
                "A second source that prints the same, made independently of the first, or the formula whose "
                "arithmetic closes over the printed values."
            ),
            example="source/en-1057",
            refers_to=("sources", "formulas"),
        ),
    ] = None
    note: Annotated[
        str | None,
        Column(title="note", description="What a reader of the row should know.", example="second carrier agrees"),
    ]
    withdrawn_on: Annotated[
        date | None,
        Column(
            title="withdrawn on",
            description="Day from which the row no longer counts; empty while it is active.",
            example="2027-01-31",
        ),
    ] = None
    withdrawn_reason: Annotated[
        str | None,
        Column(
            title="reason of withdrawal", description="Why the row was withdrawn.", example="misprint in the source"
        ),
    ] = None
