"""Wetted materials: metals, platings, plastics and elastomers.

Owns: the columns of `kb/tables/materials.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


@dataclass(frozen=True, slots=True, kw_only=True)
class Material(Sourced):
    """Wetted materials: metals, platings, plastics and elastomers."""

    table: ClassVar[str] = "materials"

    id: Annotated[str, id_column("metal|plastic|elastomer", "brass-yellow")]
    family_id: Annotated[
        str,
        Column(
            title="family",
            description="The nearest family the row belongs to.",
            example="family/brass",
            refers_to=("families",),
        ),
    ]
    title: Annotated[str, Column(title="title", description="What people call it, in words.", example="yellow brass")]
    designation: Annotated[
        str | None,
        Column(title="designation", description="How standards name it or an example of it.", example="CuZn37"),
    ]
