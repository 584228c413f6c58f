"""The size and pitch in the name of a thread are those of its columns.

Owns: reading metric and unified designations.
Does not own: diameters (`thread_form.py`), pipe sizes, which name no dimension.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.columns.sizes import exact_inches_to_mm
from schemas.tables.threads import Thread

_METRIC = re.compile(r"M(?P<size>\d{1,3}(\.\d+)?)x(?P<pitch>\d{1,2}(\.\d+)?)", re.ASCII)
_UNIFIED = re.compile(r"(?P<size>[1-9]\d?/[1-9]\d?)-(?P<threads>\d{1,2}) UN\w*", re.ASCII)

CODE = "THR-007"
PROMISE = "The size and pitch in the name of a thread are those of its columns."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active metric or unified thread whose name says another size or pitch."""
    for thread in tables.active(Thread):
        for column, named in _named(thread.designation):
            given = getattr(thread, column)
            if given is not None and given != named:
                what = f"{thread.designation} says {named:g}, the column {given:g}"
                yield tables.fault(thread, column, CODE, what, "correct the name or the column")


def _named(designation: str) -> Iterator[tuple[str, float]]:
    if metric := _METRIC.fullmatch(designation):
        yield "nominal_mm", float(metric["size"])
        yield "major_mm", float(metric["size"])
        yield "pitch_mm", float(metric["pitch"])
    elif unified := _UNIFIED.fullmatch(designation):
        yield "nominal_mm", exact_inches_to_mm(unified["size"])
        yield "threads_per_inch", float(unified["threads"])
