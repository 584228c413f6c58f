"""Procedures: the steps of preparing, testing, filling, bleeding, inspecting and draining a loop.

Owns: the columns of `kb/tables/procedures.csv`. Does not own: choosing the steps of one loop (`kb/loops/`).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


class Stage(StrEnum):
    """What a step belongs to, in the order of doing."""

    PREPARE = "prepare"
    LEAK_TEST = "leak-test"
    FILL = "fill"
    BLEED = "bleed"
    WATCH = "watch"
    FIRST_LOOK = "first-look"
    DRAIN = "drain"


@dataclass(frozen=True, slots=True, kw_only=True)
class Procedure(Sourced):
    """Procedures: the steps of preparing, testing, filling, bleeding, inspecting and draining a loop."""

    table: ClassVar[str] = "procedures"

    id: Annotated[str, id_column("procedure", "prepare-flush-radiator")]
    stage: Annotated[Stage, Column(title="stage", description="What the step belongs to.", example="prepare")]
    position: Annotated[
        int,
        Column(
            title="position",
            description="Place among the steps of its stage; smaller comes first.",
            example="10",
            at_least=1,
            at_most=999,
        ),
    ]
    subject_id: Annotated[
        str,
        Column(
            title="applies to",
            description="Family or archetype that must be in the loop; family/loop always is.",
            example="family/radiator",
            refers_to=("families", "fluids", "materials", "additives"),
        ),
    ]
    title: Annotated[str, Column(title="title", description="The step in a few words.", example="flush the radiator")]
    text: Annotated[
        str,
        Column(
            title="text",
            description="What to do and how to tell that it is done.",
            example="Shake it with warm distilled water, pour out, and repeat until nothing comes any more.",
        ),
    ]
    caution_id: Annotated[
        str | None,
        Column(
            title="caution",
            description="Caution that goes with the step.",
            example="caution/water-and-electricity",
            refers_to=("cautions",),
        ),
    ]
