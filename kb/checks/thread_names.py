"""The size and pitch in the name of a thread are those of its columns.

Owns: reading metric and unified designations.
Does not own: diameters (`thread_form.py`), pipe sizes, which name no dimension.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from kb.faults import Fault
from kb.table_rows import Tables
from schemas.sizes import exact_inches_to_mm
from schemas.tables.threads import Thread

_METRIC = re.compile(r"M(?P<size>\d+(\.\d+)?)x(?P<pitch>\d+(\.\d+)?)", re.ASCII)
_UNIFIED = re.compile(r"(?P<size>\d+/\d+)-(?P<threads>\d+) UN\w*", re.ASCII)

CODE = "THR-007"
PROMISE = "The size and pitch in the name of a thread are those of its columns."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every standing metric or unified thread whose name says another size or pitch."""
    for thread in tables.standing(Thread):
        for column, named in _named(thread.designation):
            given = getattr(thread, column)
            if given != named:
                told = "empty" if given is None else f"{given:g}"
                what = f"{thread.designation} says {named:g}, the column is {told}"
                yield tables.fault(thread, column, CODE, what, "correct the name or the column")


def _named(designation: str) -> Iterator[tuple[str, float]]:
    if metric := _METRIC.fullmatch(designation):
        yield "nominal_mm", float(metric["size"])
        yield "major_mm", float(metric["size"])
        yield "pitch_mm", float(metric["pitch"])
    elif unified := _UNIFIED.fullmatch(designation):
        yield "nominal_mm", exact_inches_to_mm(unified["size"])
        yield "threads_per_inch", float(unified["threads"])
