"""How far a real dimension may stray from its nominal value, by part or family and size range.

Owns: the columns of `kb/tables/tolerances.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


class ToleranceDimension(StrEnum):
    """Dimensions that carry a tolerance."""

    OD = "od"
    ID = "id"
    WALL = "wall"
    BARB_OD = "barb-od"
    COLLAR_BORE = "collar-bore"
    SOCKET_BORE = "socket-bore"
    GROOVE_DIAMETER = "groove-diameter"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerance(Sourced):
    """How far a real dimension may stray from its nominal value, by part or family and size range."""

    table: ClassVar[str] = "tolerances"

    id: Annotated[str, id_column("tolerance", "en-1057-od-6-to-18")]
    subject_id: Annotated[
        str,
        Column(
            title="subject",
            description="The part or family the tolerance holds for; the nearest one wins.",
            example="family/tube-copper-en-1057",
            refers_to=("families", "tubes", "fitting_ends", "ports"),
        ),
    ]
    dimension: Annotated[
        ToleranceDimension, Column(title="dimension", description="The dimension that strays.", example="od")
    ]
    from_mm: Annotated[
        float | None,
        Column(
            title="from size",
            description="Smallest nominal size it holds for (this size included); empty for no lower end.",
            example="3",
            unit="mm",
            below=1000.0,
        ),
    ]
    to_mm: Annotated[
        float | None,
        Column(
            title="to size",
            description="Largest nominal size it holds for (this size included); empty for no upper end.",
            example="18",
            unit="mm",
            below=1000.0,
        ),
    ]
    minus_in: Annotated[
        str | None,
        Column(
            title="below nominal as printed",
            description="How far the dimension may fall below nominal. As the source prints it, in inches.",
            example="0.001",
            unit="in",
            pattern="(\\d+ )?\\d+/\\d+|\\d+(\\.\\d+)?",
        ),
    ]
    minus_mm: Annotated[
        float | None,
        Column(
            title="below nominal",
            description="How far the dimension may fall below nominal.",
            example="0.04",
            unit="mm",
            quantity="dimension-tolerance",
            below=10.0,
            at_least=0.0,
            inch_column="minus_in",
        ),
    ]
    plus_in: Annotated[
        str | None,
        Column(
            title="above nominal as printed",
            description="How far the dimension may exceed nominal. As the source prints it, in inches.",
            example="0.001",
            unit="in",
            pattern="(\\d+ )?\\d+/\\d+|\\d+(\\.\\d+)?",
        ),
    ]
    plus_mm: Annotated[
        float | None,
        Column(
            title="above nominal",
            description="How far the dimension may exceed nominal.",
            example="0.04",
            unit="mm",
            quantity="dimension-tolerance",
            below=10.0,
            at_least=0.0,
            inch_column="plus_in",
        ),
    ]
    percent: Annotated[
        float | None,
        Column(
            title="percent of nominal",
            description=(
                "Symmetric tolerance in percent of nominal; where millimetres stand beside it the greater counts."
            ),
            example="0.5",
            unit="%",
            above=0.0,
            below=50.0,
        ),
    ]
