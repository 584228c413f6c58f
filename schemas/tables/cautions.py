"""Cautions that go with answers where the work can hurt someone or something.

Owns: the columns of `kb/tables/cautions.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution(Sourced):
    """Cautions that go with answers where the work can hurt someone or something."""

    table: ClassVar[str] = "cautions"

    id: Annotated[str, id_column("caution", "water-and-electricity")]
    title: Annotated[
        str, Column(title="title", description="What people call it, in words.", example="water and electricity")
    ]
    text: Annotated[
        str,
        Column(
            title="text",
            description="The caution in plain words, deferring to local codes and licensed practice.",
            example="Test for leaks with the computer disconnected from the mains.",
        ),
    ]
