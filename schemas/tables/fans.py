"""Fans: generic classes by size, with speed range and sound.

Owns: the columns of `kb/tables/fans.csv`. Does not own: their curves (`schemas/tables/fan_points.py`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


@dataclass(frozen=True, slots=True, kw_only=True)
class Fan(Sourced):
    """Fans: generic classes by size, with speed range and sound."""

    table: ClassVar[str] = "fans"

    id: Annotated[str, id_column("fan", "balanced-120")]
    family_id: Annotated[
        str,
        Column(
            title="family",
            description="The nearest family the row belongs to.",
            example="family/fan-balanced",
            refers_to=("families",),
        ),
    ]
    title: Annotated[
        str, Column(title="title", description="What people call it, in words.", example="balanced 120 mm fan")
    ]
    fan_size_mm: Annotated[
        float,
        Column(
            title="size",
            description="Edge of the square frame.",
            example="120",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=400.0,
        ),
    ]
    thickness_mm: Annotated[
        float,
        Column(
            title="thickness",
            description="Depth of the frame.",
            example="25",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=200.0,
        ),
    ]
    hole_spacing_mm: Annotated[
        float,
        Column(
            title="hole spacing",
            description="Distance of the holes along one edge.",
            example="105",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=400.0,
        ),
    ]
    blade_diameter_mm: Annotated[
        float,
        Column(
            title="blade diameter",
            description="Diameter of the ring of blades.",
            example="113",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=400.0,
        ),
    ]
    hub_diameter_mm: Annotated[
        float,
        Column(
            title="hub diameter",
            description="Diameter of the hub, where no air passes.",
            example="42",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=400.0,
        ),
    ]
    speed_min_rpm: Annotated[
        float,
        Column(
            title="lowest speed",
            description="Speed below which it may not start or run evenly.",
            example="500",
            unit="rpm",
            quantity="fan-speed",
            above=0.0,
            below=30000.0,
        ),
    ]
    speed_max_rpm: Annotated[
        float,
        Column(
            title="full speed",
            description="Speed its curve is given for.",
            example="1500",
            unit="rpm",
            quantity="fan-speed-max",
            above=0.0,
            below=30000.0,
        ),
    ]
    sound_level_dba: Annotated[
        float,
        Column(
            title="sound level",
            description="A-weighted sound pressure level at one metre in free air at the speed beside it.",
            example="24",
            unit="dB(A)",
            above=0.0,
            below=120.0,
        ),
    ]
    sound_speed_rpm: Annotated[
        float,
        Column(
            title="speed of the sound level",
            description="Speed at which the sound level holds.",
            example="1500",
            unit="rpm",
            quantity="fan-speed-max",
            above=0.0,
            below=30000.0,
        ),
    ]
