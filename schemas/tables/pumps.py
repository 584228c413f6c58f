"""Pumps by class of head and flow; the points of their curves stand in pump_points.csv.

Owns: the columns of `kb/tables/pumps.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


class SpeedControl(StrEnum):
    """How the speed of a pump is set."""

    PWM = "pwm"
    VOLTAGE = "voltage"
    STEPS = "steps"
    NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pump(Sourced):
    """Pumps by class of head and flow; the points of their curves stand in pump_points.csv."""

    table: ClassVar[str] = "pumps"

    id: Annotated[str, id_column("pump", "medium-12-v-high-flow")]
    family_id: Annotated[
        str,
        Column(
            title="family",
            description="The nearest family the row belongs to.",
            example="family/pump",
            refers_to=("families",),
        ),
    ]
    title: Annotated[
        str, Column(title="title", description="What people call it, in words.", example="medium pump, high flow")
    ]
    speed_control: Annotated[
        SpeedControl, Column(title="speed control", description="How its speed is set.", example="pwm")
    ]
    voltage_v: Annotated[
        float, Column(title="voltage", description="Rated supply.", example="12", unit="V", above=0.0, at_most=400.0)
    ]
    speed_min_rpm: Annotated[
        float | None,
        Column(
            title="speed, least",
            description="Least speed it runs at; empty if it has one speed only or it is unknown.",
            example="1200",
            unit="rpm",
            above=0.0,
            below=20000.0,
        ),
    ]
    speed_max_rpm: Annotated[
        float | None,
        Column(
            title="speed, full",
            description="Speed that the points of the curve belong to.",
            example="4800",
            unit="rpm",
            above=0.0,
            below=20000.0,
        ),
    ]
    power_w: Annotated[
        float,
        Column(
            title="electrical power",
            description="Power drawn at full speed near the middle of the curve; nearly all of it ends in the coolant.",
            example="20",
            unit="W",
            quantity="electric-power",
            above=0.0,
            at_most=1000.0,
        ),
    ]
    stopped_flow_l_min: Annotated[
        float,
        Column(
            title="flow through the stopped pump",
            description="A flow pushed through it by another pump, to which the drop beside it belongs.",
            example="5",
            unit="l/min",
            quantity="stated-flow",
            above=0.0,
            at_most=100.0,
        ),
    ]
    stopped_drop_kpa: Annotated[
        float,
        Column(
            title="drop of the stopped pump",
            description="What the stopped pump takes at the flow beside it.",
            example="2.5",
            unit="kPa",
            quantity="stated-pressure",
            above=0.0,
            at_most=200.0,
        ),
    ]
    port_id: Annotated[
        str | None,
        Column(
            title="ports",
            description="Its inlet and outlet; empty where a separate top carries them.",
            example="port/g-1-4-loop",
            refers_to=("ports",),
        ),
    ]
    volume_ml: Annotated[
        float,
        Column(
            title="contents",
            description="Coolant in it.",
            example="30",
            unit="ml",
            quantity="part-volume",
            above=0.0,
            at_most=2000.0,
        ),
    ]
