"""Quantities that are computed, limited or asked for, with their units.

Owns: the columns of `kb/tables/quantities.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity(Sourced):
    """Quantities that are computed, limited or asked for, with their units."""

    table: ClassVar[str] = "quantities"

    id: Annotated[str, id_column("quantity", "ring-squeeze-min")]
    title: Annotated[
        str, Column(title="title", description="What people call it, in words.", example="least squeeze of the ring")
    ]
    unit: Annotated[
        str,
        Column(
            title="unit",
            description="Unit of every value of this quantity; 1 for a bare number.",
            example="%",
            pattern=r"mm|ml|g|deg|%|turns|degC|1|N|bar|V|mg/l|ug/l|uS/cm|months|K|kg/m3|l/min|kPa|m/s|W|W/K|Pa|m3/h|rpm|dB",
        ),
    ]
    description: Annotated[
        str,
        Column(
            title="description",
            description="What the number says and how it is formed.",
            example="Squeeze of the ring's section at the loosest combination of tolerances.",
        ),
    ]
    formula_id: Annotated[
        str,
        Column(
            title="formula",
            description="How the number is found; formula/stated-value where it is taken as it is.",
            example="formula/o-ring-compression",
            refers_to=("formulas",),
        ),
    ]
