"""Limits: what turns a computed quantity into a finding.

Owns: the columns of `kb/tables/limits.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.levels import LEVEL_REASON, REQUIREMENT, SCOPE
from schemas.columns.provenance import Sourced, id_column
from schemas.level import Level, Scope


class Comparison(StrEnum):
    """On which side of the value a quantity must stay."""

    AT_LEAST = "at-least"
    AT_MOST = "at-most"


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit(Sourced):
    """Limits: what turns a computed quantity into a finding."""

    table: ClassVar[str] = "limits"

    id: Annotated[str, id_column("limit", "o-ring-compression-small-rigid-compression")]
    quantity_id: Annotated[
        str,
        Column(
            title="quantity",
            description="The quantity that is limited.",
            example="quantity/o-ring-compression-min",
            refers_to=("quantities",),
        ),
    ]
    family_id: Annotated[
        str,
        Column(
            title="applies to",
            description="Family of the part that carries the quantity; the nearest family wins.",
            example="family/end-rigid-compression",
            refers_to=("families",),
        ),
    ]
    comparison: Annotated[
        Comparison,
        Column(
            title="comparison",
            description="Whether the quantity must be at least or at most the value.",
            example="at-least",
        ),
    ]
    value: Annotated[
        float,
        Column(
            title="value", description="The limiting value; the value itself is still within the limit.", example="10"
        ),
    ]
    unit: Annotated[str, Column(title="unit", description="Unit of the value; the unit of the quantity.", example="%")]
    level: Annotated[
        Level,
        Column(
            title="level",
            description="What follows if the limit is broken.",
            example="warning",
        ),
    ]
    requirement_id: Annotated[str | None, REQUIREMENT]
    scope: Annotated[Scope, SCOPE]
    level_reason: Annotated[str | None, LEVEL_REASON]
    consequence: Annotated[
        str,
        Column(
            title="consequence",
            description="What happens if the limit is broken, in one plain sentence.",
            example="The O-ring may weep when tube and groove both lie at the wrong end of their tolerances.",
        ),
    ]
    remedy: Annotated[
        str | None,
        Column(
            title="remedy",
            description="What would make it right.",
            example="Measure the tube, or choose a fitting made for this outside diameter.",
        ),
    ]
    caution_ids: Annotated[
        tuple[str, ...],
        Column(
            title="cautions",
            description="Cautions that go with an answer that breaks the limit, blank between ids.",
            example="caution/leak-test",
            refers_to=("cautions",),
        ),
    ]
