"""Reservoirs by form: contents and ports.

Owns: the columns of `kb/tables/reservoirs.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


@dataclass(frozen=True, slots=True, kw_only=True)
class Reservoir(Sourced):
    """Reservoirs by form: contents and ports."""

    table: ClassVar[str] = "reservoirs"

    id: Annotated[str, id_column("reservoir", "tube-150")]
    family_id: Annotated[
        str,
        Column(
            title="family",
            description="The nearest family the row belongs to.",
            example="family/reservoir-tube",
            refers_to=("families",),
        ),
    ]
    title: Annotated[
        str, Column(title="title", description="What people call it, in words.", example="tube reservoir, 150 ml")
    ]
    volume_ml: Annotated[
        float,
        Column(
            title="contents",
            description="Coolant it holds when filled to the usual mark.",
            example="150",
            unit="ml",
            quantity="part-volume",
            above=0.0,
            at_most=20000.0,
        ),
    ]
    air_ml: Annotated[
        float,
        Column(
            title="expansion space",
            description="Expansion space: the air gap that stays above the usual mark.",
            example="20",
            unit="ml",
            quantity="part-volume",
            at_least=0.0,
            at_most=20000.0,
        ),
    ]
    port_id: Annotated[
        str, Column(title="ports", description="Its openings.", example="port/g-1-4-loop", refers_to=("ports",))
    ]
    ports: Annotated[
        int,
        Column(
            title="number of ports",
            description="Openings for runs; one that opens straight into a pump is not counted.",
            example="3",
            at_least=1,
            at_most=20,
        ),
    ]
    carries_pump: Annotated[
        bool,
        Column(title="carries a pump", description="Whether a pump sits straight under or in it.", example="no"),
    ]
