"""Quantities that are computed, limited or asked for, with their units.

Owns: the columns of `kb/tables/quantities.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Basis, Sourced, id_column


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity(Sourced):
    """Quantities that are computed, limited or asked for, with their units."""

    table: ClassVar[str] = "quantities"

    id: Annotated[str, id_column("quantity", "o-ring-compression-min")]
    title: Annotated[
        str, Column(title="title", description="What people call it, in words.", example="least O-ring compression")
    ]
    unit: Annotated[
        str,
        Column(
            title="unit",
            description="Unit of every value of this quantity; 1 for a bare number.",
            example="%",
            pattern=r"mm|ml|g|deg|%|turns|degC|1|N|bar|V|mg/l|ug/l|uS/cm|months|K|kg/m3|l/min|kPa|m/s|W|W/K|K/W|Pa|m3/h|rpm|dB|1/in|cm2",
        ),
    ]
    description: Annotated[
        str,
        Column(
            title="description",
            description="What the number says and how it is formed.",
            example="Compression of the O-ring section at the loosest combination of tolerances.",
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
    least: Annotated[
        float,
        Column(
            title="least",
            description="Least value in the unit that a question or table may state; computed ones may lie lower.",
            example="-100",
        ),
    ]
    most: Annotated[
        float,
        Column(
            title="most",
            description="Largest value in the unit that a question or table may state; computed ones may lie higher.",
            example="300",
        ),
    ]
    range_basis: Annotated[
        Basis,
        Column(
            title="basis of the range",
            description="On what ground least and most stand; the weaker of the two, if they differ.",
            example="common-practice",
        ),
    ]
    range_reason: Annotated[
        str,
        Column(
            title="reason of the range",
            description="Why nothing lies below least or above most.",
            example="a share of a whole",
        ),
    ]

    def allows(self, value: float) -> bool:
        """Return whether a value may be stated; what is no finite number never may."""
        return self.least <= value <= self.most

    def complaint(self, value: float) -> str:
        """Return that a value lies outside the range, with all its digits, as `-300 lies outside -20 to 60 degC`."""
        return f"{repr(value).removesuffix('.0')} lies outside {self.range_in_words}"

    @property
    def range_in_words(self) -> str:
        """Least and most with the unit, such as `-20 to 60 degC`."""
        unit = "" if self.unit == "1" else f" {self.unit}"
        return f"{self.least:.10g} to {self.most:.10g}{unit}"
