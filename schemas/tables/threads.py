"""Screw threads: basic geometry as printed; what a formula gives is not stored.

Owns: the columns of `kb/tables/threads.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


class ThreadGender(StrEnum):
    """Which side of a joint a thread designation can be."""

    EITHER = "either"
    EXTERNAL = "external"
    INTERNAL = "internal"


class SealsOn(StrEnum):
    """Where a screwed joint is made tight."""

    FACE = "face"
    THREAD = "thread"
    CHAMFER = "chamfer"
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread(Sourced):
    """Screw threads: basic geometry as printed; what a formula gives is not stored."""

    table: ClassVar[str] = "threads"

    id: Annotated[str, id_column("thread", "g-1-4")]
    family_id: Annotated[
        str,
        Column(
            title="family",
            description="The nearest family the row belongs to.",
            example="family/thread-parallel-pipe",
            refers_to=("families",),
        ),
    ]
    designation: Annotated[
        str, Column(title="designation", description="How the standard writes the thread.", example="G 1/4")
    ]
    nominal_in: Annotated[
        str | None,
        Column(
            title="size in the name, as printed",
            description="The size that stands in the designation, in inches; no dimension of the thread need equal it.",
            example="1/4",
            unit="in",
            pattern=r"(\d+ )?\d+/\d+|\d+(\.\d+)?",
        ),
    ]
    nominal_mm: Annotated[
        float | None,
        Column(
            title="size in the name",
            description="The size that stands in the designation; no dimension of the thread need equal it.",
            example="10",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
            inch_column="nominal_in",
        ),
    ]
    gender: Annotated[
        ThreadGender,
        Column(
            title="gender",
            description="Whether the designation stands for external threads, internal threads or either.",
            example="either",
        ),
    ]
    form_angle_deg: Annotated[
        float,
        Column(
            title="form angle",
            description="Included angle between the flanks.",
            example="55",
            unit="deg",
            quantity="thread-form-angle",
            at_least=29.0,
            at_most=90.0,
        ),
    ]
    threads_per_inch: Annotated[
        float | None,
        Column(
            title="threads per inch",
            description="Threads per inch as printed; empty for threads defined by a metric pitch.",
            example="19",
            unit="1/in",
            quantity="threads-per-inch",
            above=0.0,
            below=100.0,
        ),
    ]
    pitch_mm: Annotated[
        float | None,
        Column(
            title="pitch",
            description="Pitch of a thread defined in millimetres; empty where threads per inch are printed.",
            example="1.5",
            unit="mm",
            quantity="thread-pitch",
            above=0.0,
            below=10.0,
        ),
    ]
    major_in: Annotated[
        str | None,
        Column(
            title="major diameter as printed",
            description=(
                "Basic major diameter (for taper threads: at the gauge plane; for NPT: outside diameter of "
                "the pipe). As the source prints it, in inches."
            ),
            example="0.540",
            unit="in",
            pattern="(\\d+ )?\\d+/\\d+|\\d+(\\.\\d+)?",
        ),
    ]
    major_mm: Annotated[
        float | None,
        Column(
            title="major diameter",
            description=(
                "Basic major diameter (for taper threads: at the gauge plane; for NPT: outside diameter of the pipe)."
            ),
            example="13.157",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
            inch_column="major_in",
        ),
    ]
    pitch_diameter_in: Annotated[
        str | None,
        Column(
            title="pitch diameter as printed",
            description=(
                "Basic pitch diameter where the source prints it; else computed from major diameter and "
                "pitch. As the source prints it, in inches."
            ),
            example="0.4916",
            unit="in",
            pattern="(\\d+ )?\\d+/\\d+|\\d+(\\.\\d+)?",
        ),
    ]
    pitch_diameter_mm: Annotated[
        float | None,
        Column(
            title="pitch diameter",
            description="Basic pitch diameter where the source prints it; else computed from major diameter and pitch.",
            example="12.301",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
            inch_column="pitch_diameter_in",
        ),
    ]
    minor_in: Annotated[
        str | None,
        Column(
            title="minor diameter as printed",
            description=(
                "Basic minor diameter where the source prints it; else computed. As the source prints it, in inches."
            ),
            example="0.405",
            unit="in",
            pattern="(\\d+ )?\\d+/\\d+|\\d+(\\.\\d+)?",
        ),
    ]
    minor_mm: Annotated[
        float | None,
        Column(
            title="minor diameter",
            description="Basic minor diameter where the source prints it; else computed.",
            example="11.445",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
            inch_column="minor_in",
        ),
    ]
    taper_on_diameter: Annotated[
        float,
        Column(
            title="taper",
            description="Growth of diameter per length; 0 for parallel threads, 0.0625 for 1:16.",
            example="0.0625",
            unit="1",
            quantity="thread-taper",
            at_least=0.0,
            at_most=0.2,
        ),
    ]
    gauge_length_in: Annotated[
        str | None,
        Column(
            title="gauge length as printed",
            description=(
                "Basic gauge length (ISO 7-1) or hand-tight length L1 (ASME B1.20.1); empty for parallel "
                "threads. As the source prints it, in inches."
            ),
            example="0.2278",
            unit="in",
            pattern="(\\d+ )?\\d+/\\d+|\\d+(\\.\\d+)?",
        ),
    ]
    gauge_length_mm: Annotated[
        float | None,
        Column(
            title="gauge length",
            description=(
                "Basic gauge length (ISO 7-1) or hand-tight length L1 (ASME B1.20.1); empty for parallel threads."
            ),
            example="6",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=1000.0,
            inch_column="gauge_length_in",
        ),
    ]
    seals_on: Annotated[
        SealsOn, Column(title="seals on", description="Where a joint of this thread is made tight.", example="face")
    ]
