"""ASME B1.1: unified fine threads, classes 2A and 2B.

Carriers read: public repository adrianschlatter/threadlib, design/UIS_thread.csv at commit 315d3b96 (diameter, threads
per inch); package solidpython2 2.1.3 (BOSL2 2.0.716, screws.scad, UTS_thread: threads per inch); a tap maker's table
of 2B limits, printed to 0.001 mm, as noted in the rows of the tables. The limits of 2A were computed from the
standard's formulae in the form that BOSL2 carries them (lengths in inches, results to 0.0001 in); class 2B is 1.3
times as wide, which ties the formula to the printed table.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from kb.formulas.fit.thread_geometry import metric_minor_mm, metric_pitch_diameter_mm, pitch_mm
from kb.knowledge_base import KnowledgeBase
from schemas.tables.thread_tolerances import ThreadSide
from schemas.tables.threads import Thread

INCH = 25.4
HALF_DIGIT_MM = 0.0005
HALF_DIGIT_IN = 0.00005
SIZES = {"7/16": ("unf-7-16-20", 20, 0.4375), "9/16": ("unf-9-16-18", 18, 0.5625), "3/4": ("unf-3-4-16", 16, 0.75)}
LIMITS_2B = {"7/16": (10.287, 10.424), "9/16": (13.371, 13.520), "3/4": (18.019, 18.184)}
MINOR_2B = {"7/16": 9.738, "9/16": 12.761, "3/4": 17.330}
EACH = pytest.mark.parametrize("size", SIZES)


def basic_pitch_diameter(base: KnowledgeBase, size: str) -> float:
    row = base.snapshot.get(Thread, f"thread/{SIZES[size][0]}")
    return metric_pitch_diameter_mm(row.major_mm, pitch_mm(row.threads_per_inch))


def pitch_tolerance_2a_in(diameter: float, pitch: float) -> float:
    """Formula of B1.1 for the pitch diameter tolerance of class 2A, length of engagement = diameter."""
    return 0.0015 * diameter ** (1 / 3) + 0.0015 * diameter**0.5 + 0.015 * pitch ** (2 / 3)


@EACH
def test_diameter_and_threads_per_inch(
    size: str, cell: Callable[[str, str], float], scad_rows: Callable[[str, str], dict[str, list[str]]]
) -> None:
    name, turns, diameter = SIZES[size]
    assert cell(f"thread/{name}", "threads_per_inch") == turns
    assert cell(f"thread/{name}", "major_mm") == pytest.approx(diameter * INCH, abs=HALF_DIGIT_IN * INCH)
    _, fine, _ = scad_rows("screws.scad", "UTS_thread")[size]
    assert int(fine) == turns


@EACH
def test_internal_pitch_diameter_limits(size: str, base: KnowledgeBase) -> None:
    """The carrier converted limits of four decimals of an inch; the basic diameter is one of them."""
    row = base.snapshot.thread_tolerance(f"thread/{SIZES[size][0]}", ThreadSide.INTERNAL)
    basic = basic_pitch_diameter(base, size)
    ours = (basic + row.pitch_diameter_lower_mm, basic + row.pitch_diameter_upper_mm)
    assert ours == pytest.approx(LIMITS_2B[size], abs=HALF_DIGIT_MM + HALF_DIGIT_IN * INCH)


@EACH
def test_basic_internal_minor_diameter(size: str, base: KnowledgeBase) -> None:
    """The lower limit of the minor diameter is the basic one; the carrier converted four decimals of an inch."""
    row = base.snapshot.get(Thread, f"thread/{SIZES[size][0]}")
    minor = metric_minor_mm(row.major_mm, pitch_mm(row.threads_per_inch))
    assert minor == pytest.approx(MINOR_2B[size], abs=HALF_DIGIT_MM + HALF_DIGIT_IN * INCH)


@EACH
def test_external_limits_follow_from_the_formulae(size: str, base: KnowledgeBase) -> None:
    """Our deviations are differences of two figures of four decimals: limit and basic size."""
    _, turns, diameter = SIZES[size]
    row = base.snapshot.thread_tolerance(f"thread/{SIZES[size][0]}", ThreadSide.EXTERNAL)
    tolerance = pitch_tolerance_2a_in(diameter, 1 / turns)
    allowance = 0.3 * tolerance
    expected = (-allowance - tolerance, -allowance, -allowance - 0.060 * (1 / turns) ** (2 / 3), -allowance)
    ours = (row.pitch_diameter_lower_mm, row.pitch_diameter_upper_mm, row.major_lower_mm, row.major_upper_mm)
    assert [one / INCH for one in ours] == pytest.approx(expected, abs=2 * HALF_DIGIT_IN)


@EACH
def test_formula_reproduces_the_printed_internal_limit(size: str, base: KnowledgeBase) -> None:
    _, turns, diameter = SIZES[size]
    basic = basic_pitch_diameter(base, size)
    upper = basic + 1.3 * pitch_tolerance_2a_in(diameter, 1 / turns) * INCH
    assert upper == pytest.approx(LIMITS_2B[size][1], abs=HALF_DIGIT_MM + HALF_DIGIT_IN * INCH)
