"""Deviations of thread diameters from the basic ones, by side and tolerance class.

Owns: the columns of `kb/tables/thread_tolerances.csv`.
Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


class ThreadSide(StrEnum):
    """The two sides of a screwed joint."""

    EXTERNAL = "external"
    INTERNAL = "internal"


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadTolerance(Sourced):
    """Deviations of thread diameters from the basic ones, by side and tolerance class."""

    table: ClassVar[str] = "thread_tolerances"

    id: Annotated[str, id_column("thread-tolerance", "g-1-4-external-a")]
    thread_id: Annotated[
        str,
        Column(
            title="thread",
            description="The thread the deviations belong to.",
            example="thread/g-1-4",
            refers_to=("threads",),
        ),
    ]
    side: Annotated[ThreadSide, Column(title="side", description="External or internal thread.", example="external")]
    tolerance_class: Annotated[
        str,
        Column(
            title="tolerance class",
            description="Class as the standard names it; `standard` where there is only one.",
            example="A",
            pattern="[0-9A-Za-z]+",
        ),
    ]
    is_default: Annotated[
        bool,
        Column(
            title="default",
            description=(
                "Whether this class counts where nobody names one; exactly one per thread and side: the widest."
            ),
            example="yes",
        ),
    ]
    major_lower_mm: Annotated[
        float | None,
        Column(
            title="major diameter, lower deviation",
            description="Smallest major diameter minus the basic one.",
            example="-0.125",
            unit="mm",
            at_least=-2.0,
            at_most=2.0,
        ),
    ]
    major_upper_mm: Annotated[
        float | None,
        Column(
            title="major diameter, upper deviation",
            description="Largest major diameter minus the basic one.",
            example="0",
            unit="mm",
            at_least=-2.0,
            at_most=2.0,
        ),
    ]
    pitch_diameter_lower_mm: Annotated[
        float | None,
        Column(
            title="pitch diameter, lower deviation",
            description="Smallest pitch diameter minus the basic one.",
            example="-0.125",
            unit="mm",
            at_least=-2.0,
            at_most=2.0,
        ),
    ]
    pitch_diameter_upper_mm: Annotated[
        float | None,
        Column(
            title="pitch diameter, upper deviation",
            description="Largest pitch diameter minus the basic one.",
            example="0",
            unit="mm",
            at_least=-2.0,
            at_most=2.0,
        ),
    ]
    minor_lower_mm: Annotated[
        float | None,
        Column(
            title="minor diameter, lower deviation",
            description="Smallest minor diameter minus the basic one.",
            example="-0.125",
            unit="mm",
            at_least=-2.0,
            at_most=2.0,
        ),
    ]
    minor_upper_mm: Annotated[
        float | None,
        Column(
            title="minor diameter, upper deviation",
            description="Largest minor diameter minus the basic one.",
            example="0",
            unit="mm",
            at_least=-2.0,
            at_most=2.0,
        ),
    ]
