"""Fittings: what a body is; its ends stand in fitting_ends.csv.

Owns: the columns of `kb/tables/fittings.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting(Sourced):
    """Fittings: what a body is; its ends stand in fitting_ends.csv."""

    table: ClassVar[str] = "fittings"

    id: Annotated[str, id_column("fitting", "compression-3-8x5-8-g-1-4")]
    family_id: Annotated[
        str,
        Column(
            title="family",
            description="The nearest family the row belongs to.",
            example="family/fitting-soft-compression",
            refers_to=("families",),
        ),
    ]
    title: Annotated[
        str,
        Column(
            title="title",
            description="What people call it, in words.",
            example="compression fitting for 3/8 x 5/8 in soft tube, G 1/4",
        ),
    ]
    angle_deg: Annotated[
        float | None,
        Column(
            title="angle",
            description=(
                "Angle between the first two ends, 0 for straight, 90 for an elbow; empty for plugs and splitters."
            ),
            example="90",
            unit="deg",
            at_least=0.0,
            at_most=180.0,
        ),
    ]
    turns_after_tightening: Annotated[
        bool, Column(title="rotary", description="Whether the body may turn after it is tightened.", example="no")
    ]
