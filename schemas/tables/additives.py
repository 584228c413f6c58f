"""Additives: inhibitors, biocides, dyes and helpers.

Owns: the columns of `kb/tables/additives.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import id_column
from schemas.tables.roles import WithRoles


@dataclass(frozen=True, slots=True, kw_only=True)
class Additive(WithRoles):
    """Additives: inhibitors, biocides, dyes and helpers."""

    table: ClassVar[str] = "additives"

    id: Annotated[str, id_column("additive", "benzotriazole")]
    family_id: Annotated[
        str,
        Column(
            title="family",
            description="The nearest family the row belongs to.",
            example="family/azole",
            refers_to=("families",),
        ),
    ]
    title: Annotated[str, Column(title="title", description="What people call it, in words.", example="benzotriazole")]
    role: Annotated[
        str, Column(title="role", description="What it is added for.", example="inhibitor of copper and brass")
    ]
    dose_low_mg_per_l: Annotated[
        float | None,
        Column(title="dose, low", description="Lower end of the usual dose.", example="50", unit="mg/l", above=0.0),
    ]
    dose_high_mg_per_l: Annotated[
        float | None,
        Column(title="dose, high", description="Upper end of the usual dose.", example="200", unit="mg/l", above=0.0),
    ]
