"""A value that speaks first and lies outside all its rivals says why.

Owns: finding such values without a reason. Does not own: who speaks first (`kb/store/snapshot.py`), or bounds, which
use the span of all strong sources (`kb/store/property_spans.py`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from kb.store.faults import Fault
from kb.store.property_spans import is_weak, upper_end
from kb.store.typed_rows import Tables
from schemas.tables.material_properties import MaterialProperty
from schemas.tables.sources import Source

CODE = "MAT-005"
PROMISE = "A value that speaks first and lies outside all its rivals says why."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every first-ranked value outside its rivals without a reason."""
    rank = {row.id: row.rank for row in tables.active(Source)}
    said: defaultdict[tuple[str, str], list[MaterialProperty]] = defaultdict(list)
    for row in sorted(
        tables.active(MaterialProperty), key=lambda row: (is_weak(row), rank.get(row.source_id, 0), row.id)
    ):
        said[row.material_id, row.property].append(row)
    for first, *rivals in said.values():
        if rivals and _is_outside(first, rivals) and not first.rank_reason:
            what = f"speaks first and lies outside {', '.join(row.id for row in rivals)}"
            yield tables.fault(
                first, "rank_reason", CODE, what, "say why it speaks first, or give another source first"
            )


def _is_outside(first: MaterialProperty, rivals: Sequence[MaterialProperty]) -> bool:
    return first.value > max(map(upper_end, rivals)) or upper_end(first) < min(row.value for row in rivals)
