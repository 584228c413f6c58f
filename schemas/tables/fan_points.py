"""Points of fan curves: static pressure against flow at full speed.

Owns: the columns of `kb/tables/fan_points.csv`. Does not own: the fans (`schemas/tables/fans.py`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


@dataclass(frozen=True, slots=True, kw_only=True)
class FanPoint(Sourced):
    """Points of fan curves: static pressure against flow at full speed."""

    table: ClassVar[str] = "fan_points"

    id: Annotated[str, id_column("fan-point", "balanced-120-1")]
    fan_id: Annotated[str, Column(title="fan", description="The fan.", example="fan/balanced-120", refers_to=("fans",))]
    flow_m3_per_h: Annotated[
        float,
        Column(
            title="flow",
            description="Air moved at full speed; 0 where the way is shut.",
            example="50",
            unit="m3/h",
            at_least=0.0,
            below=10000.0,
        ),
    ]
    pressure_pa: Annotated[
        float,
        Column(
            title="static pressure",
            description="Static pressure at this flow and full speed; 0 in free air.",
            example="12",
            unit="Pa",
            at_least=0.0,
            below=10000.0,
        ),
    ]
