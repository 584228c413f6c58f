"""What a fluid usually is where the asker says nothing: the worst usual value.

Owns: the columns of `kb/tables/fluid_properties.csv`.
Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


@dataclass(frozen=True, slots=True, kw_only=True)
class FluidProperty(Sourced):
    """What a fluid usually is where the asker says nothing: the worst usual value."""

    table: ClassVar[str] = "fluid_properties"

    id: Annotated[str, id_column("fluid-property", "family-tap-water-chloride")]
    subject_id: Annotated[
        str,
        Column(
            title="fluid",
            description="The fluid or family the value holds for; the nearest one wins.",
            example="family/tap-water",
            refers_to=("fluids", "families", "additives"),
        ),
    ]
    quantity_id: Annotated[
        str,
        Column(title="quantity", description="Which quantity.", example="quantity/chloride", refers_to=("quantities",)),
    ]
    value: Annotated[float, Column(title="value", description="The worst usual value.", example="250")]
    unit: Annotated[
        str, Column(title="unit", description="Unit of the value; the unit of the quantity.", example="mg/l")
    ]
