"""What kinds of parts take from the flow: a loss coefficient on their bore, or one measured point.

Owns: the columns of `kb/tables/resistances.csv`. Does not own: reading, checking across tables, or using the rows.
Bends, changes of bore and straight tube are computed from geometry (`kb/formulas/`) and stand in no table.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


class Direction(StrEnum):
    """Which direction the coolant takes through a part."""

    THROUGH = "through"
    BRANCH = "branch"


@dataclass(frozen=True, slots=True, kw_only=True)
class Resistance(Sourced):
    """What kinds of parts take from the flow: a loss coefficient on their bore, or one measured point."""

    table: ClassVar[str] = "resistances"

    id: Annotated[str, id_column("resistance", "fitting-90")]
    family_id: Annotated[
        str,
        Column(
            title="family",
            description="The kind of part; the nearest family with a row speaks.",
            example="family/fitting-elbow",
            refers_to=("families",),
        ),
    ]
    direction: Annotated[
        Direction,
        Column(
            title="direction",
            description="Straight on or round by its angle, or into a side branch.",
            example="through",
        ),
    ]
    angle_deg: Annotated[
        float | None,
        Column(
            title="angle",
            description="Angle of the part the row holds for; empty if the kind has none.",
            example="90",
            unit="deg",
            at_least=0.0,
            at_most=180.0,
        ),
    ]
    loss_coefficient: Annotated[
        float | None,
        Column(
            title="loss coefficient",
            description="K on the bore of the part; empty where a point stands instead.",
            example="1.74",
            at_least=0.0,
            at_most=1000.0,
        ),
    ]
    laminar_coefficient: Annotated[
        float | None,
        Column(
            title="laminar part",
            description="K1, added as K1 over the Reynolds number.",
            example="1000",
            at_least=0.0,
            at_most=100000.0,
        ),
    ]
    bore_mm: Annotated[
        float | None,
        Column(
            title="usual bore",
            description="Bore that the coefficient refers to where the part's own is unknown.",
            example="9",
            unit="mm",
            quantity="dimension",
            above=0.0,
            below=100.0,
        ),
    ]
    reference_flow_l_min: Annotated[
        float | None,
        Column(
            title="reference flow",
            description="Flow of water at 25 degC that the drop belongs to.",
            example="4",
            unit="l/min",
            quantity="stated-flow",
            above=0.0,
            at_most=100.0,
        ),
    ]
    drop_kpa: Annotated[
        float | None,
        Column(
            title="drop",
            description="Drop at the reference flow.",
            example="4",
            unit="kPa",
            quantity="stated-pressure",
            above=0.0,
            at_most=200.0,
        ),
    ]
    drop_exponent: Annotated[
        float | None,
        Column(
            title="exponent of the drop",
            description="How the drop grows with the flow: 1 laminar, 2 fully turbulent.",
            example="1.75",
            at_least=1.0,
            at_most=2.0,
        ),
    ]
    spread_percent: Annotated[
        float,
        Column(
            title="spread",
            description="How far parts of this kind lie from the value to either side.",
            example="40",
            unit="%",
            at_least=0.0,
            at_most=100.0,
        ),
    ]
