"""The ends of a fitting carry the letters from a on, each once.

Owns: the letters of ends. Does not own: what an end is (`end_columns.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from string import ascii_lowercase

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.fitting_ends import FittingEnd
from schemas.tables.fittings import Fitting

CODE = "END-002"
PROMISE = "The ends of a fitting carry the letters from a on, each once."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every end whose letter leaves a gap or stands twice, and every fitting without ends."""
    ends: dict[str, list[FittingEnd]] = {}
    for end in tables.active(FittingEnd):
        ends.setdefault(end.fitting_id, []).append(end)
    for fitting in tables.active(Fitting):
        if fitting.id not in ends:
            yield tables.fault(fitting, "id", CODE, "has no ends", "add its ends to fitting_ends.csv")
    for group in ends.values():
        in_order = sorted(group, key=lambda end: end.position)
        for end, letter in zip(in_order, ascii_lowercase, strict=False):
            if end.position != letter:
                what = f"is {end.position} where {letter} comes next"
                yield tables.fault(end, "position", CODE, what, "letter the ends a, b, c ... without gap")
                break
