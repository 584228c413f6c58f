"""Conditions of rules: all conditions of a rule must hold together.

Owns: the columns of `kb/tables/rule_conditions.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


class Operator(StrEnum):
    """Comparisons a condition may use."""

    LESS = "<"
    AT_MOST = "<="
    MORE = ">"
    AT_LEAST = ">="
    EQUAL = "="


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleCondition(Sourced):
    """Conditions of rules: all conditions of a rule must hold together."""

    table: ClassVar[str] = "rule_conditions"

    id: Annotated[str, id_column("condition", "petg-warm-temperature")]
    rule_id: Annotated[
        str,
        Column(
            title="rule",
            description="The rule that holds only under this condition.",
            example="rule/petg-warm",
            refers_to=("rules",),
        ),
    ]
    quantity_id: Annotated[
        str,
        Column(
            title="quantity",
            description="The quantity that is compared.",
            example="quantity/coolant-temperature",
            refers_to=("quantities",),
        ),
    ]
    operator: Annotated[
        Operator, Column(title="operator", description="How the quantity is compared with the value.", example=">")
    ]
    value: Annotated[float, Column(title="value", description="The value compared with.", example="60")]
    unit: Annotated[
        str, Column(title="unit", description="Unit of the value; the unit of the quantity.", example="degC")
    ]
