"""What is assumed where the asker says nothing.

Owns: the columns of `kb/tables/assumptions.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption(Sourced):
    """What is assumed where the asker says nothing."""

    table: ClassVar[str] = "assumptions"

    id: Annotated[str, id_column("assumption", "coolant-temperature")]
    quantity_id: Annotated[
        str,
        Column(
            title="quantity",
            description="The quantity that is assumed.",
            example="quantity/coolant-temperature",
            refers_to=("quantities",),
            unique=True,
        ),
    ]
    value: Annotated[float, Column(title="value", description="The assumed value.", example="40")]
    unit: Annotated[
        str, Column(title="unit", description="Unit of the value; the unit of the quantity.", example="degC")
    ]
