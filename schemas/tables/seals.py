"""O-rings: inside diameter, section and their tolerances.

Owns: the columns of `kb/tables/seals.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


@dataclass(frozen=True, slots=True, kw_only=True)
class Seal(Sourced):
    """O-rings: inside diameter, section and their tolerances."""

    table: ClassVar[str] = "seals"

    id: Annotated[str, id_column("seal", "iso-3601-014")]
    family_id: Annotated[
        str,
        Column(
            title="family",
            description="The nearest family the row belongs to.",
            example="family/o-ring",
            refers_to=("families",),
        ),
    ]
    designation: Annotated[
        str,
        Column(
            title="designation", description="How the standard or the trade writes the O-ring.", example="AS568-014"
        ),
    ]
    o_ring_id_mm: Annotated[
        float | None,
        Column(
            title="inside diameter",
            description="Inside diameter of the free O-ring.",
            example="12.42",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
        ),
    ]
    o_ring_id_tolerance_mm: Annotated[
        float | None,
        Column(
            title="tolerance of inside diameter",
            description="Plus or minus on the inside diameter.",
            example="0.13",
            unit="mm",
            quantity="dimension-tolerance",
            above=0.0,
            below=5.0,
        ),
    ]
    section_mm: Annotated[
        float | None,
        Column(
            title="section",
            description="Diameter of the O-ring's cross-section.",
            example="1.78",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=20.0,
        ),
    ]
    section_tolerance_mm: Annotated[
        float | None,
        Column(
            title="tolerance of section",
            description="Plus or minus on the section.",
            example="0.08",
            unit="mm",
            quantity="dimension-tolerance",
            above=0.0,
            below=2.0,
        ),
    ]
