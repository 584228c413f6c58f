"""What was read where, statement by statement: the record behind notes of rules, conditions, couples and materials.

Owns: the columns of `kb/tables/evidence.csv`. Does not own: documents that rows name (`schemas/tables/sources.py`).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Confidence, HowSeen, id_column


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """Single statements as they were read, with the address of the document and who looked when."""

    table: ClassVar[str] = "evidence"

    id: Annotated[str, id_column("evidence", "pla-067")]
    subject: Annotated[str, Column(title="subject", description="What the statement is about.", example="POM")]
    object: Annotated[
        str | None, Column(title="object", description="What the subject meets.", example="chlorinated water")
    ]
    relation: Annotated[
        str | None, Column(title="relation", description="What was looked at.", example="weight loss in six months")
    ]
    condition: Annotated[
        str | None, Column(title="condition", description="Under what circumstances.", example="60 degC, 10 mg/l")
    ]
    outcome: Annotated[
        str, Column(title="outcome", description="What the document says in one word.", example="incompatible")
    ]
    value: Annotated[str | None, Column(title="value", description="The figure as printed.", example="3")]
    unit: Annotated[str | None, Column(title="unit", description="Unit of the figure as printed.", example="%")]
    detail: Annotated[
        str | None, Column(title="detail", description="What else it says, in our words.", example="0.15 % without.")
    ]
    document: Annotated[
        str,
        Column(title="document", description="Title and publisher of the document.", example="Polysulfone guide"),
    ]
    locator: Annotated[
        str | None, Column(title="locator", description="Place inside the document.", example="Table 23")
    ]
    address: Annotated[
        str | None,
        Column(
            title="address",
            description="Where the document was read; empty where it must be searched for.",
            example="https://doi.org/10.4271/2006-01-2161",
            pattern=r"https?://\S+",
        ),
    ]
    searched: Annotated[
        str | None,
        Column(title="searched", description="Words that find the document.", example="polysulfone design guide"),
    ]
    how_seen: Annotated[
        HowSeen,
        Column(title="how seen", description="In what form it was really read.", example="original"),
    ]
    confidence: Annotated[
        Confidence, Column(title="confidence", description="How far the statement may be trusted.", example="high")
    ]
    seen_on: Annotated[
        date, Column(title="seen on", description="Day on which it was read or searched for.", example="2026-11-25")
    ]
    seen_by: Annotated[str, Column(title="seen by", description="Role of who looked.", example="editor")]
