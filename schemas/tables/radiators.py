"""Radiators: generic cores by size, thickness and fin density, described by their geometry.

Owns: the columns of `kb/tables/radiators.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


class FinDensity(StrEnum):
    """How closely the fins stand, in the words of the trade."""

    LOW = "low"
    MEDIUM = "medium"
    HIGH = "high"


class ScrewThread(StrEnum):
    """Threads of the screws that hold fans."""

    M3 = "m3"
    M4 = "m4"
    UNC_6_32 = "6-32-unc"


def _millimetres(title: str, description: str, example: str, below: float = 2000.0) -> Column:
    return Column(
        title=title, description=description, example=example, unit="mm", quantity="dimension", above=0.0, below=below
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Radiator(Sourced):
    """Radiators: generic cores by size, thickness and fin density, described by their geometry."""

    table: ClassVar[str] = "radiators"

    id: Annotated[str, id_column("radiator", "240x30-low")]
    family_id: Annotated[
        str,
        Column(
            title="family",
            description="The nearest family the row belongs to.",
            example="family/radiator",
            refers_to=("families",),
        ),
    ]
    title: Annotated[
        str,
        Column(title="title", description="What people call it, in words.", example="240 mm radiator, 30 mm, few fins"),
    ]
    fan_size_mm: Annotated[float, _millimetres("fan size", "Edge of the square fans it is made for.", "120", 400.0)]
    fans: Annotated[
        int,
        Column(title="fans", description="How many fans cover one face.", example="2", at_least=1, at_most=9),
    ]
    fan_hole_spacing_mm: Annotated[
        float, _millimetres("fan hole spacing", "Distance of the holes along one edge of a fan.", "105", 400.0)
    ]
    fan_screw: Annotated[
        ScrewThread, Column(title="fan screw", description="Thread of the holes for the fans.", example="m3")
    ]
    length_mm: Annotated[float, _millimetres("length", "Overall length with its tanks.", "277")]
    width_mm: Annotated[float, _millimetres("width", "Overall width.", "121")]
    thickness_mm: Annotated[float, _millimetres("thickness", "Overall thickness without fans.", "30", 200.0)]
    fin_density: Annotated[
        FinDensity,
        Column(title="fin density", description="How closely the fins stand, in words.", example="low"),
    ]
    fins_per_inch: Annotated[
        float,
        Column(
            title="fins per inch",
            description="Walls of the folded fin along one inch of a tube.",
            example="10",
            unit="1/in",
            quantity="fin-density",
            above=0.0,
            below=60.0,
        ),
    ]
    core_length_mm: Annotated[float, _millimetres("core length", "Length of the finned core along the tubes.", "240")]
    core_depth_mm: Annotated[float, _millimetres("core depth", "Depth of tubes and fins along the air.", "20", 200.0)]
    tubes: Annotated[
        int,
        Column(
            title="tubes",
            description="Flat tubes side by side across the core; fins stand outside the first and last one too.",
            example="12",
            at_least=1,
            at_most=100,
        ),
    ]
    tube_rows: Annotated[
        int,
        Column(title="tube rows", description="Flat tubes behind each other.", example="1", at_least=1, at_most=9),
    ]
    passes: Annotated[
        int,
        Column(
            title="passes",
            description="How often the coolant crosses the core; the tubes are shared among the passes.",
            example="2",
            at_least=1,
            at_most=9,
        ),
    ]
    tube_height_mm: Annotated[float, _millimetres("tube height", "Outside height of a flat tube.", "2", 20.0)]
    tube_width_mm: Annotated[float, _millimetres("tube width", "Outside width of one tube along the air.", "20", 200.0)]
    tube_wall_mm: Annotated[float, _millimetres("tube wall", "Wall of a flat tube.", "0.2", 3.0)]
    fin_height_mm: Annotated[float, _millimetres("fin height", "Height of the fin between two tubes.", "7.3", 50.0)]
    fin_thickness_mm: Annotated[float, _millimetres("fin thickness", "Thickness of the fin sheet.", "0.06", 1.0)]
    louver_pitch_mm: Annotated[float, _millimetres("louver pitch", "Width of one louver along the air.", "1.1", 10.0)]
    louver_length_mm: Annotated[float, _millimetres("louver length", "Length of the slit of a louver.", "6.2", 50.0)]
    louver_angle_deg: Annotated[
        float,
        Column(
            title="louver angle",
            description="Angle of the louvers against the fin.",
            example="27",
            unit="deg",
            above=0.0,
            below=90.0,
        ),
    ]
    fin_material_id: Annotated[
        str,
        Column(
            title="fin material", description="What the fins are.", example="metal/copper", refers_to=("materials",)
        ),
    ]
    tube_material_id: Annotated[
        str,
        Column(
            title="tube material",
            description="What the flat tubes are.",
            example="metal/brass-yellow",
            refers_to=("materials",),
        ),
    ]
    port_id: Annotated[
        str,
        Column(title="ports", description="Its threaded ports.", example="port/g-1-4-loop", refers_to=("ports",)),
    ]
    volume_ml: Annotated[
        float,
        Column(
            title="volume",
            description="Coolant it holds, tubes and tanks.",
            example="120",
            unit="ml",
            quantity="part-volume",
            above=0.0,
            below=10000.0,
        ),
    ]
