"""Families of parts: the tree over which rules and limits are inherited.

Owns: the columns of `kb/tables/families.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


@dataclass(frozen=True, slots=True, kw_only=True)
class Family(Sourced):
    """Families of parts: the tree over which rules and limits are inherited."""

    table: ClassVar[str] = "families"

    id: Annotated[str, id_column("family", "tube-soft")]
    parent_id: Annotated[
        str | None,
        Column(
            title="parent",
            description="The next wider family; empty at a root.",
            example="family/tube",
            refers_to=("families",),
        ),
    ]
    title: Annotated[str, Column(title="title", description="What people call it, in words.", example="soft tube")]
    description: Annotated[
        str,
        Column(
            title="description",
            description="What belongs to the family, in one sentence.",
            example="Flexible tube that seals by stretching over a barb.",
        ),
    ]
