"""Tolerances of one subject, dimension and source hold for separate sizes.

Owns: finding sizes for which one source says two things. Does not own: rival sources (their rank decides).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from math import inf

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.tolerances import Tolerance

CODE = "TOL-002"
PROMISE = "Tolerances of one subject, dimension and source hold for separate sizes."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every range that ends before it begins, and for every two ranges that share a size."""
    groups: dict[tuple[str, str, str], list[Tolerance]] = {}
    for row in tables.active(Tolerance):
        low, high = _range(row)
        if low > high:
            yield tables.fault(row, "from_mm", CODE, f"{low:g} lies above to_mm {high:g}", "exchange the two")
        groups.setdefault((row.subject_id, row.dimension, row.source_id), []).append(row)
    for rows in groups.values():
        for one, other in combinations(rows, 2):
            if _overlap(one, other):
                what = f"holds for sizes for which {other.id} of the same source holds too"
                yield tables.fault(one, "from_mm", CODE, what, "let one end below the size where the other begins")


def _range(row: Tolerance) -> tuple[float, float]:
    return -inf if row.from_mm is None else row.from_mm, inf if row.to_mm is None else row.to_mm


def _overlap(one: Tolerance, other: Tolerance) -> bool:
    (low, high), (other_low, other_high) = _range(one), _range(other)
    return low <= other_high and other_low <= high
