"""Threaded openings in blocks, pumps, radiators and reservoirs.

Owns: the columns of `kb/tables/ports.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column
from schemas.tables.threads import SealsOn


@dataclass(frozen=True, slots=True, kw_only=True)
class Port(Sourced):
    """Threaded openings in blocks, pumps, radiators and reservoirs."""

    table: ClassVar[str] = "ports"

    id: Annotated[str, id_column("port", "g-1-4-din-3852-2")]
    family_id: Annotated[
        str,
        Column(
            title="family",
            description="The nearest family the row belongs to.",
            example="family/port",
            refers_to=("families",),
        ),
    ]
    title: Annotated[
        str, Column(title="title", description="What people call it, in words.", example="G 1/4 port, narrow spotface")
    ]
    thread_id: Annotated[
        str,
        Column(
            title="thread", description="Internal thread of the port.", example="thread/g-1-4", refers_to=("threads",)
        ),
    ]
    seals_on: Annotated[
        SealsOn, Column(title="seals on", description="Where a fitting is made tight in this port.", example="face")
    ]
    thread_depth_min_mm: Annotated[
        float | None,
        Column(
            title="full thread depth, least",
            description="Least depth of full thread.",
            example="12",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
        ),
    ]
    drill_depth_min_mm: Annotated[
        float | None,
        Column(
            title="drill depth, least",
            description="Least depth of the tap drill.",
            example="18.5",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
        ),
    ]
    spotface_diameter_min_mm: Annotated[
        float | None,
        Column(
            title="spotface diameter, least",
            description="Least diameter of the flat around the port; empty where the flat is open or unknown.",
            example="19",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
        ),
    ]
    spotface_depth_max_mm: Annotated[
        float | None,
        Column(
            title="spotface depth, most",
            description="Largest depth of a recessed flat; empty where nothing is recessed or it is unknown.",
            example="1.5",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
        ),
    ]
    chamfer_diameter_mm: Annotated[
        float | None,
        Column(
            title="O-ring chamfer diameter",
            description="Diameter of a conical seat for an O-ring in the corner of the thread.",
            example="11.1",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
        ),
    ]
