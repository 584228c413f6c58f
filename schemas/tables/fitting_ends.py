"""The ends of fittings: each mates with a port, a tube, a thread or a coupling half.

Owns: the columns of `kb/tables/fitting_ends.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column
from schemas.tables.threads import SealsOn


class EndKind(StrEnum):
    """How an end of a fitting joins with what it meets."""

    MALE_THREAD = "male-thread"
    FEMALE_THREAD = "female-thread"
    BARB = "barb"
    SOFT_COMPRESSION = "soft-compression"
    RIGID_COMPRESSION = "rigid-compression"
    PUSH_IN = "push-in"
    COUPLING_PLUG = "coupling-plug"
    COUPLING_SOCKET = "coupling-socket"


@dataclass(frozen=True, slots=True, kw_only=True)
class FittingEnd(Sourced):
    """The ends of fittings: each mates with a port, a tube, a thread or a coupling half."""

    table: ClassVar[str] = "fitting_ends"

    id: Annotated[str, id_column("end", "compression-3-8x5-8-g-1-4-a")]
    fitting_id: Annotated[
        str,
        Column(
            title="fitting",
            description="The fitting the end belongs to.",
            example="fitting/compression-3-8x5-8-g-1-4",
            refers_to=("fittings",),
        ),
    ]
    position: Annotated[
        str, Column(title="position", description="Letter of the end, a first.", example="a", pattern="[a-f]")
    ]
    end_kind: Annotated[EndKind, Column(title="kind of end", description="How the end joins.", example="male-thread")]
    thread_id: Annotated[
        str | None,
        Column(title="thread", description="Thread of a threaded end.", example="thread/g-1-4", refers_to=("threads",)),
    ]
    thread_length_mm: Annotated[
        float | None,
        Column(
            title="thread length",
            description="Length of the thread: of a male one from its shoulder, of a female one the full thread depth.",
            example="5",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
        ),
    ]
    seals_on: Annotated[
        SealsOn | None, Column(title="seals on", description="Where a threaded end is made tight.", example="face")
    ]
    seal_id: Annotated[
        str | None,
        Column(
            title="O-ring", description="O-ring carried by this end.", example="seal/iso-3601-111", refers_to=("seals",)
        ),
    ]
    collar_diameter_mm: Annotated[
        float | None,
        Column(
            title="collar diameter",
            description="Largest diameter that turns with this end; decides what fits beside it.",
            example="18",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
        ),
    ]
    bore_mm: Annotated[
        float | None,
        Column(
            title="bore",
            description="Smallest hole through this end.",
            example="9",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
        ),
    ]
    tube_id_in: Annotated[
        str | None,
        Column(
            title="made for inside diameter as printed",
            description="Nominal inside diameter of the tube the end is made for. As the source prints it, in inches.",
            example="3/8",
            unit="in",
            pattern="(\\d+ )?\\d+/\\d+|\\d+(\\.\\d+)?",
        ),
    ]
    tube_id_mm: Annotated[
        float | None,
        Column(
            title="made for inside diameter",
            description="Nominal inside diameter of the tube the end is made for.",
            example="9.525",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
            inch_column="tube_id_in",
        ),
    ]
    tube_od_in: Annotated[
        str | None,
        Column(
            title="made for outside diameter as printed",
            description="Nominal outside diameter of the tube the end is made for. As the source prints it, in inches.",
            example="5/8",
            unit="in",
            pattern="(\\d+ )?\\d+/\\d+|\\d+(\\.\\d+)?",
        ),
    ]
    tube_od_mm: Annotated[
        float | None,
        Column(
            title="made for outside diameter",
            description="Nominal outside diameter of the tube the end is made for.",
            example="15.875",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
            inch_column="tube_od_in",
        ),
    ]
    barb_od_mm: Annotated[
        float | None,
        Column(
            title="barb diameter",
            description="Largest diameter of the barb or stem inside the tube.",
            example="10.4",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
        ),
    ]
    collar_bore_mm: Annotated[
        float | None,
        Column(
            title="clamping bore",
            description="Smallest inner diameter of the tightened clamping collar.",
            example="15.4",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
        ),
    ]
    socket_bore_mm: Annotated[
        float | None,
        Column(
            title="socket bore",
            description="Bore that guides a rigid tube.",
            example="12.2",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
        ),
    ]
    groove_diameter_mm: Annotated[
        float | None,
        Column(
            title="groove diameter",
            description="Diameter at the bottom of the groove that holds the O-ring.",
            example="15.2",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
        ),
    ]
    insertion_depth_mm: Annotated[
        float | None,
        Column(
            title="insertion depth",
            description="How deep the tube stands in the end.",
            example="12",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
        ),
    ]
    coupling_pattern: Annotated[
        str | None,
        Column(
            title="coupling pattern",
            description="Pattern of a quick coupling; halves of different patterns do not join.",
            example="pattern-a",
            pattern="[a-z0-9]+(-[a-z0-9]+)*",
        ),
    ]
