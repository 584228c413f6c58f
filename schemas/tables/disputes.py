"""What other sources say against a rule: kept beside it, never deciding.

Owns: the columns of `kb/tables/disputes.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column
from schemas.verdict import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Dispute(Sourced):
    """What other sources say against a rule: kept beside it, never deciding."""

    table: ClassVar[str] = "disputes"

    id: Annotated[str, id_column("dispute", "petg-glass-transition")]
    rule_id: Annotated[
        str,
        Column(
            title="rule",
            description="The rule that is disputed.",
            example="rule/petg-hot",
            refers_to=("rules",),
        ),
    ]
    verdict: Annotated[
        Verdict, Column(title="verdict", description="What the other source says.", example="conditional")
    ]
    reason: Annotated[
        str,
        Column(
            title="reason",
            description="Why, in one plain sentence.",
            example="Databases put its glass transition anywhere from 70 to 110 degC by grade.",
        ),
    ]
