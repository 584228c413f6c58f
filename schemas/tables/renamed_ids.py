"""Ids that rows had before.

Owns: the columns of `kb/tables/renamed_ids.csv`. Does not own: checking across tables, or what is said to those who ask
for an old id (`kb/parts/renamed_ids.py`).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import id_column

_ID = r"[a-z]+(-[a-z]+)*/[a-z0-9]+(-[a-z0-9]+)*"


@dataclass(frozen=True, slots=True, kw_only=True)
class RenamedId:
    """Ids that rows had before; questions that name one are refused with the id of today."""

    table: ClassVar[str] = "renamed_ids"

    id: Annotated[str, id_column("renamed", "radiator-120x30-middle")]
    old_id: Annotated[
        str,
        Column(
            title="old id",
            description="What the row was called; no row has this id any more.",
            example="radiator/120x30-middle",
            pattern=_ID,
            unique=True,
        ),
    ]
    new_id: Annotated[
        str,
        Column(
            title="new id",
            description="What the row is called now, in whatever table it stands.",
            example="radiator/120x30-medium",
            pattern=_ID,
        ),
    ]
    renamed_on: Annotated[date, Column(title="renamed on", description="Day of the new name.", example="2026-12-01")]
