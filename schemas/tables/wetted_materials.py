"""What the wetted surfaces of parts are usually made of.

Owns: the columns of `kb/tables/wetted_materials.csv`.
Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


class WettedRole(StrEnum):
    """Wetted surfaces of a part, or surfaces that would be wetted if a plating were breached."""

    BODY = "body"
    BASE_PLATE = "base-plate"
    CORE = "core"
    TANK = "tank"
    TOP = "top"
    PLATING = "plating"
    SOLDER = "solder"
    SEAL = "seal"
    TUBE = "tube"
    IMPELLER = "impeller"


@dataclass(frozen=True, slots=True, kw_only=True)
class WettedMaterial(Sourced):
    """What the wetted surfaces of parts are usually made of."""

    table: ClassVar[str] = "wetted_materials"

    id: Annotated[str, id_column("wetted", "fitting-plating")]
    subject_id: Annotated[
        str,
        Column(
            title="part",
            description="The part or family; the nearest one wins for each role.",
            example="family/fitting",
            refers_to=("families", "tubes", "fittings", "seals", "ports"),
        ),
    ]
    role: Annotated[WettedRole, Column(title="role", description="Which surface of the part.", example="plating")]
    material_id: Annotated[
        str,
        Column(
            title="material",
            description="The material of that surface.",
            example="metal/nickel-plate-electrolytic",
            refers_to=("materials",),
        ),
    ]
