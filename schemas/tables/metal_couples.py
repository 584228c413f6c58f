"""Two groups of metals that touch bare: how the table of dissimilar metals rates them in three environments.

Owns: the columns of `kb/tables/metal_couples.csv`. Does not own: which metal is in which group
(`schemas/tables/metal_groups.py`), or what the ratings mean for a loop (rows of limits.csv).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column
from schemas.tables.metal_groups import GROUP


class Rating(StrEnum):
    """What the table says of a couple in one environment; `unknown` where the copy at hand is not to be trusted."""

    COMPATIBLE = "compatible"
    INCOMPATIBLE = "incompatible"
    UNKNOWN = "unknown"


def _rating(environment: str, words: str) -> Column:
    return Column(title=environment, description=f"How the bare couple is rated {words}.", example="incompatible")


@dataclass(frozen=True, slots=True, kw_only=True)
class MetalCouple(Sourced):
    """Two groups of metals that touch bare: how the table of dissimilar metals rates them in three environments."""

    table: ClassVar[str] = "metal_couples"

    id: Annotated[str, id_column("metal-couple", "e-o")]
    group: Annotated[str, Column(title="group", description="Letter of the first group.", example="E", pattern=GROUP)]
    other_group: Annotated[
        str, Column(title="other group", description="Letter of the second group.", example="O", pattern=GROUP)
    ]
    industrial: Annotated[Rating, _rating("industrial air", "in industrial air")]
    seawater: Annotated[Rating, _rating("seawater", "immersed in seawater")]
    marine: Annotated[Rating, _rating("sea air", "in sea air")]
    relaxes: Annotated[
        bool,
        Column(
            title="relaxed by an inhibitor",
            description=(
                "Whether an inhibitor proven for both metals makes the verdict one step milder; never for magnesium, "
                "zinc or aluminium against copper alloys and what the table lists as nobler."
            ),
            example="no",
        ),
    ]
