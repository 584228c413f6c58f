"""Requirements: what must be so before a warning no longer counts, how it is met and how it is checked.

Owns: the columns of `kb/tables/requirements.csv`. Does not own: the facts that imply one
(`kb/evidence/requirements.py`), reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


@dataclass(frozen=True, slots=True, kw_only=True)
class Requirement(Sourced):
    """Requirements: what must be so before a warning no longer counts, how it is met and how it is checked."""

    table: ClassVar[str] = "requirements"

    id: Annotated[str, id_column("requirement", "hose-clamp")]
    priority: Annotated[
        int,
        Column(
            title="priority",
            description="1 harm or a leak soon, 2 shorter life, 3 comfort; it orders answers and decides nothing.",
            example="1",
            at_least=1,
            at_most=3,
        ),
    ]
    sentence: Annotated[
        str,
        Column(title="sentence", description="What must be true.", example="A clamp holds the tube on its barb."),
    ]
    how_it_is_met: Annotated[
        str,
        Column(
            title="how it is met",
            description="What to do before filling.",
            example="Put a hose clamp over every barb.",
        ),
    ]
    how_it_is_checked: Annotated[
        str,
        Column(
            title="how it is checked",
            description="How anyone sees that it is done.",
            example="Pull at the tube; it does not move.",
        ),
    ]
    implied_by: Annotated[
        str,
        Column(
            title="implied by",
            description=(
                "Facts that meet it without a statement: `;` between alternatives, `&` between facts that are needed "
                "together; `statement` if only the asker can say so."
            ),
            example="part:hose-clamp",
        ),
    ]
    contradicted_by: Annotated[
        str | None,
        Column(
            title="contradicted by",
            description="Facts that make it an error of the question to state it as met.",
            example="part:hose-clamp=no",
        ),
    ]
    caution_ids: Annotated[
        tuple[str, ...],
        Column(
            title="cautions",
            description="Cautions that go with an answer that names it, blank between ids.",
            example="caution/hose-clamp",
            refers_to=("cautions",),
        ),
    ]
