"""ISO 965-2: limits of metric fine threads, 6g and 6H; ISO 724: basic sizes.

Carrier read: public repository adrianschlatter/threadlib, design/metric_thread.csv at commit 227f4816. It prints
external limits from M11 up to two decimals, all others to three; each figure is held to half its last digit.
"""

from __future__ import annotations

from typing import NamedTuple

import pytest

from kb.formulas.fit.thread_geometry import metric_minor_mm, metric_pitch_diameter_mm
from kb.knowledge_base import KnowledgeBase
from schemas.tables.thread_tolerances import ThreadSide, ThreadTolerance
from schemas.tables.threads import Thread

HALF_DIGIT_MM = 0.0005
ROUNDED_MM = 0.0005  # our deviations are themselves rounded to 0.001 mm


class Limits(NamedTuple):
    thread: str
    external_half_digit: float
    major: tuple[float, float]
    external_pitch: tuple[float, float]
    minor: tuple[float, float]
    internal_pitch: tuple[float, float]


TABLE = [
    Limits("m10x1", 0.0005, (9.794, 9.974), (9.212, 9.324), (8.917, 9.153), (9.35, 9.5)),
    Limits("m12x1", 0.005, (11.79, 11.97), (11.21, 11.32), (10.917, 11.153), (11.35, 11.51)),
    Limits("m12x1-5", 0.005, (11.73, 11.97), (10.85, 10.99), (10.376, 10.676), (11.026, 11.216)),
    Limits("m14x1-5", 0.005, (13.73, 13.97), (12.85, 12.99), (12.376, 12.676), (13.026, 13.216)),
    Limits("m16x1-5", 0.005, (15.73, 15.97), (14.85, 14.99), (14.376, 14.676), (15.026, 15.216)),
    Limits("m18x1-5", 0.005, (17.73, 17.97), (16.85, 16.99), (16.376, 16.676), (17.026, 17.216)),
    Limits("m20x1-5", 0.005, (19.73, 19.97), (18.85, 18.99), (18.376, 18.676), (19.026, 19.216)),
]
ROWS = pytest.mark.parametrize("row", TABLE, ids=lambda row: row.thread)


def known(base: KnowledgeBase, row: Limits, side: ThreadSide) -> tuple[Thread, ThreadTolerance]:
    tolerance = base.snapshot.thread_tolerance(f"thread/{row.thread}", side)
    assert tolerance is not None
    return base.snapshot.get(Thread, f"thread/{row.thread}"), tolerance


def basic_pitch_diameter(thread: Thread) -> float:
    assert thread.major_mm is not None
    assert thread.pitch_mm is not None
    return metric_pitch_diameter_mm(thread.major_mm, thread.pitch_mm)


def test_every_metric_thread_of_the_tables_is_held_against_the_carrier(base: KnowledgeBase) -> None:
    ours = {row.id for row in base.snapshot.active(Thread) if row.family_id == "family/thread-metric"}
    assert ours == {f"thread/{row.thread}" for row in TABLE}


@ROWS
def test_external_limits(row: Limits, base: KnowledgeBase) -> None:
    thread, tolerance = known(base, row, ThreadSide.EXTERNAL)
    pitch_diameter = basic_pitch_diameter(thread)
    ours = (
        thread.major_mm + tolerance.major_lower_mm,
        thread.major_mm + tolerance.major_upper_mm,
        pitch_diameter + tolerance.pitch_diameter_lower_mm,
        pitch_diameter + tolerance.pitch_diameter_upper_mm,
    )
    assert ours == pytest.approx((*row.major, *row.external_pitch), abs=row.external_half_digit + ROUNDED_MM)


@ROWS
def test_internal_limits(row: Limits, base: KnowledgeBase) -> None:
    thread, tolerance = known(base, row, ThreadSide.INTERNAL)
    pitch_diameter, minor = basic_pitch_diameter(thread), metric_minor_mm(thread.major_mm, thread.pitch_mm)
    ours = (
        minor + tolerance.minor_lower_mm,
        minor + tolerance.minor_upper_mm,
        pitch_diameter + tolerance.pitch_diameter_lower_mm,
        pitch_diameter + tolerance.pitch_diameter_upper_mm,
    )
    assert ours == pytest.approx((*row.minor, *row.internal_pitch), abs=HALF_DIGIT_MM + ROUNDED_MM)


@ROWS
def test_basic_diameters_by_formula(row: Limits, base: KnowledgeBase) -> None:
    """Position H has no deviation: the least internal diameters are the basic ones of ISO 724."""
    thread, _ = known(base, row, ThreadSide.INTERNAL)
    minor = metric_minor_mm(thread.major_mm, thread.pitch_mm)
    computed = (minor, basic_pitch_diameter(thread))
    assert computed == pytest.approx((row.minor[0], row.internal_pitch[0]), abs=HALF_DIGIT_MM)
