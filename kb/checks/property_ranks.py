"""A value that speaks first and lies outside all its rivals says why.

Owns: finding such values without a reason. Does not own: who speaks first, or bounds, which use the span of all strong
sources (both `kb/store/property_spans.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kb.store.faults import Fault
from kb.store.property_spans import ranked_properties, upper_end
from kb.store.typed_rows import Tables
from schemas.tables.material_properties import MaterialProperty
from schemas.tables.sources import Source

CODE = "MAT-005"
PROMISE = "A value that speaks first and lies outside all its rivals says why."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every first-ranked value outside its rivals without a reason."""
    for first, *rivals in ranked_properties(tables.active(MaterialProperty), tables.active(Source)).values():
        if rivals and _is_outside(first, rivals) and not first.rank_reason:
            what = f"speaks first and lies outside {', '.join(row.id for row in rivals)}"
            yield tables.fault(
                first, "rank_reason", CODE, what, "say why it speaks first, or give another source first"
            )


def _is_outside(first: MaterialProperty, rivals: Sequence[MaterialProperty]) -> bool:
    return first.value > max(map(upper_end, rivals)) or upper_end(first) < min(row.value for row in rivals)
