"""Points of pump curves at full speed, from no flow to no head.

Owns: the columns of `kb/tables/pump_points.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpPoint(Sourced):
    """Points of pump curves at full speed, from no flow to no head."""

    table: ClassVar[str] = "pump_points"

    id: Annotated[str, id_column("pump-point", "medium-12-v-high-flow-1")]
    pump_id: Annotated[
        str,
        Column(
            title="pump",
            description="The pump the point belongs to.",
            example="pump/medium-12-v-high-flow",
            refers_to=("pumps",),
        ),
    ]
    flow_l_min: Annotated[
        float,
        Column(
            title="flow",
            description="Flow of water.",
            example="4",
            unit="l/min",
            quantity="curve-flow",
            at_least=0.0,
            at_most=200.0,
        ),
    ]
    head_kpa: Annotated[
        float,
        Column(
            title="head",
            description="Pressure at the outlet less pressure at the inlet.",
            example="36",
            unit="kPa",
            quantity="curve-head",
            at_least=0.0,
            at_most=500.0,
        ),
    ]
