"""Rules: how two parts or families get on, and who says so.

Owns: the columns of `kb/tables/rules.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.levels import LEVEL_REASON, REQUIREMENT, SCOPE
from schemas.columns.provenance import Sourced, id_column
from schemas.level import Judgement, Scope

RULE_PARTIES = (
    "families",
    "threads",
    "ports",
    "tubes",
    "fittings",
    "seals",
    "materials",
    "fluids",
    "additives",
)


class RuleTopic(StrEnum):
    """What a rule speaks of; only rules of one topic compete."""

    JOINT = "joint"
    SEALING = "sealing"
    SERVICE = "service"
    CONTACT = "contact"
    GALVANIC = "galvanic"
    CHLORIDE = "chloride"
    SULFATE = "sulfate"
    AMMONIA = "ammonia"
    ACIDITY = "acidity"
    CONDUCTIVITY = "conductivity"
    OXYGEN = "oxygen"
    HARDNESS = "hardness"
    TEMPERATURE = "temperature"
    STRESS_CRACKING = "stress-cracking"
    DEZINCIFICATION = "dezincification"
    HYDROLYSIS = "hydrolysis"
    SWELLING = "swelling"
    LEACHING = "leaching"
    GROWTH = "growth"
    DEPLETION = "depletion"
    OXIDATION = "oxidation"
    SETTLING = "settling"
    PLATING = "plating"
    MIXING = "mixing"
    DOSING = "dosing"
    SEAL = "seal"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule(Sourced):
    """Rules: how two parts or families get on, and who says so."""

    table: ClassVar[str] = "rules"

    id: Annotated[str, id_column("rule", "soft-tube-in-rigid-compression")]
    topic: Annotated[
        RuleTopic,
        Column(
            title="topic", description="What the rule speaks of; one rule per topic decides a pair.", example="joint"
        ),
    ]
    subject_id: Annotated[
        str,
        Column(
            title="subject",
            description="One side: a part or a family.",
            example="family/tube-soft",
            refers_to=RULE_PARTIES,
        ),
    ]
    object_id: Annotated[
        str,
        Column(
            title="object",
            description="The other side: a part or a family.",
            example="family/end-rigid-compression",
            refers_to=RULE_PARTIES,
        ),
    ]
    is_directed: Annotated[
        bool,
        Column(
            title="directed",
            description=(
                "Whether the rule holds only with the subject as the entering side (male thread, tube) and "
                "not the other way round."
            ),
            example="no",
        ),
    ]
    level: Annotated[
        Judgement,
        Column(
            title="level",
            description="What it says: error, warning, note, pass (nothing against it) or gap (no evidence exists).",
            example="error",
        ),
    ]
    requirement_id: Annotated[str | None, REQUIREMENT]
    scope: Annotated[Scope, SCOPE]
    level_reason: Annotated[str | None, LEVEL_REASON]
    reason: Annotated[
        str,
        Column(
            title="reason",
            description="Why, in one plain sentence.",
            example="A soft wall gives way under the O-ring, so the O-ring neither seals nor holds.",
        ),
    ]
    remedy: Annotated[
        str | None,
        Column(
            title="remedy",
            description="What would make it right.",
            example="Use a barb or a compression fitting for soft tube.",
        ),
    ]
    caution_ids: Annotated[
        tuple[str, ...],
        Column(
            title="cautions",
            description="Cautions that go with an answer, blank between ids.",
            example="caution/water-and-electricity",
            refers_to=("cautions",),
        ),
    ]
