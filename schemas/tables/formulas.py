"""Formulas: equation, symbols, validity and source of every number that is computed.

Owns: the columns of `kb/tables/formulas.csv`. Does not own: the functions (`kb/formulas/registry.py`), or reading,
checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column

ONE_SYMBOL = r"[A-Za-z][A-Za-z0-9_]*: [^;\[\]]+ \[[^;\[\]]+\]"


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula(Sourced):
    """Formulas: equation, symbols, validity and source of every number that is computed."""

    table: ClassVar[str] = "formulas"

    id: Annotated[str, id_column("formula", "o-ring-compression")]
    title: Annotated[
        str, Column(title="title", description="What people call it, in words.", example="compression of an O-ring")
    ]
    equation: Annotated[
        str,
        Column(
            title="equation",
            description="The equation in plain characters; several are parted by semicolons.",
            example="s = (w - t) / w * 100; t = (D - d) / 2",
            pattern=r".*=.*",
        ),
    ]
    symbols: Annotated[
        str,
        Column(
            title="symbols",
            description="Every symbol of the equation with its unit, 1 for a bare number; parted by semicolons.",
            example="s: compression [%]; w: section of the free ring [mm]",
            pattern=rf"{ONE_SYMBOL}(; {ONE_SYMBOL})*",
        ),
    ]
    unit: Annotated[
        str | None,
        Column(
            title="unit",
            description="Unit of the result; empty where it is that of the quantity.",
            example="%",
        ),
    ]
    validity: Annotated[
        str,
        Column(
            title="validity",
            description="Where it holds, and how well.",
            example="Ring neither stretched nor gathered by more than some 5 %.",
        ),
    ]
    example: Annotated[
        str,
        Column(
            title="example",
            description="A worked example: numbers in, then the result.",
            example="w = 2, D = 15.2, d = 12 gives s = 20",
            pattern=r".+ gives .+ = -?[0-9]+(\.[0-9]+)?",
        ),
    ]
    uses_ids: Annotated[
        tuple[str, ...],
        Column(
            title="uses",
            description="Formulas that it is computed with, blank between ids.",
            example="formula/od-on-barb",
            refers_to=("formulas",),
        ),
    ]
