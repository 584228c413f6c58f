"""Printed pitch and minor diameters are those of the thread form.

Owns: holding printed diameters against the form. Does not own: the formulae (`kb/formulas/fit/thread_geometry.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.formulas.fit.thread_geometry import (
    diameter_along_taper_mm,
    metric_minor_mm,
    metric_pitch_diameter_mm,
    npt_small_end_pitch_diameter_mm,
    pitch_mm,
    whitworth_height_mm,
)
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.threads import Thread

CODE = "THR-003"
PROMISE = "Printed pitch and minor diameters are those of the thread form."

_WHITWORTH_DEG = 55
_METRIC_DEG = 60
# Tables print pitch, thread height and diameters to 0.001 mm and take one from the other: half a digit of the height,
# 0.64 of half a digit of the pitch and half a digit of the result; the minor diameter takes the height twice.
_PITCH_DIAMETER_ROUNDING_MM = 0.0015
_MINOR_ROUNDING_MM = 0.0025


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every printed diameter of an active 55 or 60 degree thread that its form does not give."""
    for thread in tables.active(Thread):
        for column, expected, rounding in _expected(thread):
            printed = getattr(thread, column)
            if printed is not None and abs(printed - expected) > rounding:
                what = f"{printed:g} mm, but pitch and form give {expected:.3f} mm"
                yield tables.fault(thread, column, CODE, what, "hold pitch and diameters against the page")


def _expected(thread: Thread) -> Iterator[tuple[str, float, float]]:
    pitch = thread.pitch_mm or (pitch_mm(thread.threads_per_inch) if thread.threads_per_inch else None)
    if pitch is None or thread.major_mm is None:
        return
    if thread.form_angle_deg == _WHITWORTH_DEG:
        height = whitworth_height_mm(pitch)
        yield "pitch_diameter_mm", thread.major_mm - height, _PITCH_DIAMETER_ROUNDING_MM
        yield "minor_mm", thread.major_mm - 2 * height, _MINOR_ROUNDING_MM
    elif thread.form_angle_deg == _METRIC_DEG and thread.taper_on_diameter == 0:
        yield "pitch_diameter_mm", metric_pitch_diameter_mm(thread.major_mm, pitch), _PITCH_DIAMETER_ROUNDING_MM
        yield "minor_mm", metric_minor_mm(thread.major_mm, pitch), _MINOR_ROUNDING_MM
    elif thread.threads_per_inch and thread.gauge_length_mm is not None:
        small_end = npt_small_end_pitch_diameter_mm(thread.major_mm, thread.threads_per_inch)
        at_gauge = diameter_along_taper_mm(small_end, thread.gauge_length_mm, thread.taper_on_diameter)
        yield "pitch_diameter_mm", at_gauge, _PITCH_DIAMETER_ROUNDING_MM
