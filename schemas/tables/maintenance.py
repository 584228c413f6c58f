"""Maintenance: what to look at, clean or change again and again, when, and why.

Owns: the columns of `kb/tables/maintenance.csv`. Does not own: choosing what concerns one loop (`kb/loops/`), or how
long a fluid lasts by itself (`schemas/tables/fluids.py`).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


class MaintenanceKind(StrEnum):
    """What is done."""

    LOOK = "look"
    MEASURE = "measure"
    CLEAN = "clean"
    CHANGE_FLUID = "change-fluid"
    REPLACE = "replace"


@dataclass(frozen=True, slots=True, kw_only=True)
class Maintenance(Sourced):
    """Maintenance: what to look at, clean or change again and again, when, and why."""

    table: ClassVar[str] = "maintenance"

    id: Annotated[str, id_column("maintenance", "plasticiser-film")]
    subject_id: Annotated[
        str,
        Column(
            title="applies to",
            description="Family or archetype that must be in the loop; family/loop always is.",
            example="family/vinyl-plasticised",
            refers_to=("families", "fluids", "materials", "additives"),
        ),
    ]
    task: Annotated[MaintenanceKind, Column(title="task", description="What is done.", example="look")]
    title: Annotated[str, Column(title="title", description="The task in a few words.", example="clouded soft tube")]
    first_after_days: Annotated[
        float | None,
        Column(
            title="first after",
            description="Days after filling until the first time; empty if there is none of its own.",
            example="14",
            unit="days",
            above=0.0,
            at_most=3650.0,
        ),
    ]
    every_months: Annotated[
        float | None,
        Column(
            title="every",
            description="Months between two times; empty if it is done once only.",
            example="6",
            unit="months",
            above=0.0,
            at_most=120.0,
        ),
    ]
    look_for: Annotated[
        str,
        Column(
            title="look for",
            description="What to look for, and what to do about it.",
            example="A milky wall, or a film that comes off on a finger.",
        ),
    ]
    reason: Annotated[
        str,
        Column(title="reason", description="Why it is done, in one sentence.", example="Plasticiser leaves soft PVC."),
    ]
    caution_id: Annotated[
        str | None,
        Column(
            title="caution",
            description="Caution that goes with the task.",
            example="caution/crazed-plastic",
            refers_to=("cautions",),
        ),
    ]
