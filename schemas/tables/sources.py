"""Documents, data sets and habits that values come from.

Owns: the columns of `kb/tables/sources.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import id_column


class SourceKind(StrEnum):
    """Kinds of source, from a binding standard to a mere memory."""

    STANDARD = "standard"
    HANDBOOK = "handbook"
    PAPER = "paper"
    GUIDELINE = "guideline"
    DATASET = "dataset"
    LIBRARY = "library"
    DERIVATION = "derivation"
    COMMON_PRACTICE = "common-practice"
    FROM_MEMORY = "from-memory"


class HowSeen(StrEnum):
    """In what form a source was really read."""

    ORIGINAL = "original"
    ABSTRACT = "abstract"
    SECOND_HAND = "second-hand"
    COMPUTED = "computed"
    NOT_SEEN = "not-seen"


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Documents, data sets and habits that values come from."""

    table: ClassVar[str] = "sources"

    id: Annotated[str, id_column("source", "iso-228-1")]
    kind: Annotated[SourceKind, Column(title="kind", description="What sort of source it is.", example="standard")]
    title: Annotated[
        str,
        Column(
            title="title",
            description="Title of the document, data set or habit.",
            example="Pipe threads where pressure-tight joints are not made on the threads - Part 1",
        ),
    ]
    publisher: Annotated[str | None, Column(title="publisher", description="Body that issued it.", example="ISO")]
    edition: Annotated[str | None, Column(title="edition", description="Edition, version or year.", example="2000")]
    how_seen: Annotated[
        HowSeen,
        Column(title="how seen", description="In what form the values were really seen.", example="second-hand"),
    ]
    where_seen: Annotated[
        str | None,
        Column(
            title="where seen",
            description=(
                "The carrier in which the values were read: package and version, repository and commit, kind of page."
            ),
            example="package bd_warehouse 0.4.0",
        ),
    ]
    rank: Annotated[
        int,
        Column(
            title="rank",
            description="Which source speaks when several disagree: 1 speaks first.",
            example="1",
            at_least=1,
            at_most=9,
        ),
    ]
    note: Annotated[
        str | None,
        Column(
            title="note",
            description="What a reader should know of the source.",
            example="the standard itself was not opened",
        ),
    ]
