"""Tubes: as many of inside diameter, outside diameter and wall as the source prints; the rest is arithmetic.

Owns: the columns of `kb/tables/tubes.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


class NominalMeans(StrEnum):
    """Which real dimension the nominal size in a tube's name stands for."""

    INSIDE = "inside"
    OUTSIDE = "outside"
    BOTH = "both"
    NEITHER = "neither"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tube(Sourced):
    """Tubes: as many of inside diameter, outside diameter and wall as the source prints; the rest is arithmetic."""

    table: ClassVar[str] = "tubes"

    id: Annotated[str, id_column("tube", "soft-3-8x5-8")]
    family_id: Annotated[
        str,
        Column(
            title="family",
            description="The nearest family the row belongs to.",
            example="family/tube-soft",
            refers_to=("families",),
        ),
    ]
    title: Annotated[
        str, Column(title="title", description="What people call it, in words.", example="soft tube 3/8 x 5/8 in")
    ]
    designation: Annotated[
        str,
        Column(
            title="designation", description="How the standard or the trade writes the size.", example="3/8 x 5/8 in"
        ),
    ]
    nominal_means: Annotated[
        NominalMeans,
        Column(
            title="the name means",
            description="Which dimension the nominal size in the name stands for.",
            example="inside",
        ),
    ]
    id_in: Annotated[
        str | None,
        Column(
            title="inside diameter as printed",
            description="Nominal inside diameter. As the source prints it, in inches.",
            example="3/8",
            unit="in",
            pattern="(\\d+ )?\\d+/\\d+|\\d+(\\.\\d+)?",
        ),
    ]
    id_mm: Annotated[
        float | None,
        Column(
            title="inside diameter",
            description="Nominal inside diameter.",
            example="9.525",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
            inch_column="id_in",
        ),
    ]
    od_in: Annotated[
        str | None,
        Column(
            title="outside diameter as printed",
            description="Nominal outside diameter. As the source prints it, in inches.",
            example="5/8",
            unit="in",
            pattern="(\\d+ )?\\d+/\\d+|\\d+(\\.\\d+)?",
        ),
    ]
    od_mm: Annotated[
        float | None,
        Column(
            title="outside diameter",
            description="Nominal outside diameter.",
            example="15.875",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
            inch_column="od_in",
        ),
    ]
    wall_in: Annotated[
        str | None,
        Column(
            title="wall thickness as printed",
            description="Nominal wall thickness. As the source prints it, in inches.",
            example="0.035",
            unit="in",
            pattern="(\\d+ )?\\d+/\\d+|\\d+(\\.\\d+)?",
        ),
    ]
    wall_mm: Annotated[
        float | None,
        Column(
            title="wall thickness",
            description="Nominal wall thickness.",
            example="1",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=50.0,
            inch_column="wall_in",
        ),
    ]
