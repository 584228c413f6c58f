"""Which source speaks first on a property of a material, and between which values strong sources put it.

Owns: which rows are strong, their order, and the span of their values. Does not own: what follows from a span
(`kb/compatibility/materials/contact.py`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from schemas.columns.provenance import Confidence
from schemas.tables.material_properties import MaterialProperty, PropertyName
from schemas.tables.sources import Source


class PropertySpan(NamedTuple):
    """The span of a property.

    Attributes:
        lowest: row with the smallest value.
        highest: row with the largest value.
        low: smallest value, in the unit of the property.
        high: largest value; of a range its upper end.
    """

    lowest: MaterialProperty
    highest: MaterialProperty
    low: float
    high: float


def is_weak(row: MaterialProperty) -> bool:
    """Return whether a row is too weak to set a bound: its confidence is low."""
    return row.confidence is Confidence.LOW


def upper_end(row: MaterialProperty) -> float:
    """Return the value of a row, of a range its upper end."""
    return row.value if row.value_high is None else row.value_high


def ranked_properties(
    rows: Iterable[MaterialProperty], sources: Iterable[Source]
) -> Mapping[tuple[str, PropertyName], Sequence[MaterialProperty]]:
    """Return what sources say of each property of each material, first the one that speaks first.

    A strong row speaks before a weak one, then the better rank of the source counts.

    Args:
        rows: active rows.
        sources: active sources; rows of a source that is not there come first.
    """
    rank = {row.id: row.rank for row in sources}
    said: dict[tuple[str, PropertyName], list[MaterialProperty]] = {}
    for row in sorted(rows, key=lambda row: (is_weak(row), rank.get(row.source_id, 0), row.id)):
        said.setdefault((row.material_id, row.property), []).append(row)
    return said


def property_span(ranked: Sequence[MaterialProperty]) -> PropertySpan:
    """Return the span of the strong rows; if all are weak, that of the one that speaks first.

    A weak rival never moves a bound: it stays beside it for the reader.

    Args:
        ranked: at least one row of one property of one material, first the one that speaks first.
    """
    strong = [row for row in ranked if not is_weak(row)] or ranked[:1]
    lowest, highest = min(strong, key=lambda row: row.value), max(strong, key=upper_end)
    return PropertySpan(lowest, highest, lowest.value, upper_end(highest))
