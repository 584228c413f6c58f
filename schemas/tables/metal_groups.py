"""Groups of metals: under which letter the table of dissimilar metals lists each of them.

Owns: the columns of `kb/tables/metal_groups.csv`. Does not own: what the groups do to one another
(`schemas/tables/metal_couples.py`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column

GROUP = "[A-T]"


@dataclass(frozen=True, slots=True, kw_only=True)
class MetalGroup(Sourced):
    """The group of a metal in the table of dissimilar metals; of a metal with several rows the worst group counts."""

    table: ClassVar[str] = "metal_groups"

    id: Annotated[str, id_column("metal-group", "copper-o")]
    material_id: Annotated[
        str, Column(title="metal", description="The metal.", example="metal/copper", refers_to=("materials",))
    ]
    group: Annotated[
        str, Column(title="group", description="Letter of its group in the table.", example="O", pattern=GROUP)
    ]
