"""ISO 7-1:1994, Table 1, with tolerances as JIS B 0203:1999 prints them (the same sizes): R, Rp and Rc threads.

Carriers read: public encyclopaedia mirror (gauge lengths); package bd_warehouse 0.4.0, data/iso_228_1.csv (basic
diameters, equal to those of ISO 228-1); component catalogue page excerpting JIS B 0203 (columns b and c, diameter
tolerance of the parallel internal thread). Neither paper was open. Gauge lengths are printed to 0.1 mm, axial
tolerances to 0.01 mm, diameters to 0.001 mm.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from kb.formulas.fit.thread_geometry import pitch_mm
from kb.knowledge_base import KnowledgeBase
from schemas.tables.thread_tolerances import ThreadSide

TAPER = 1 / 16
HALF_DIGIT_MM = 0.0005
SIZES = ("1/8", "1/4", "3/8", "1/2", "3/4", "1")
GAUGE_LENGTHS = dict(zip(SIZES, (4.0, 6.0, 6.4, 8.2, 9.5, 10.4), strict=True))
AXIAL_EXTERNAL = dict(zip(SIZES, (0.91, 1.34, 1.34, 1.81, 1.81, 2.31), strict=True))
AXIAL_INTERNAL = dict(zip(SIZES, (1.13, 1.67, 1.67, 2.27, 2.27, 2.89), strict=True))
PARALLEL_INTERNAL = dict(zip(SIZES, (0.071, 0.104, 0.104, 0.142, 0.142, 0.181), strict=True))


def thread_id(letter: str, size: str) -> str:
    return f"thread/{letter}-{size.replace('/', '-')}"


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("letter", ["r", "rc"])
def test_gauge_length(size: str, letter: str, cell: Callable[[str, str], float]) -> None:
    assert cell(thread_id(letter, size), "gauge_length_mm") == pytest.approx(GAUGE_LENGTHS[size], abs=0.05)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("letter", ["r", "rp", "rc"])
def test_diameters_at_the_gauge_plane_are_those_of_g(
    size: str, letter: str, cell: Callable[[str, str], float], warehouse: Callable[[str], list[dict[str, str]]]
) -> None:
    printed = next(row for row in warehouse("data/iso_228_1.csv") if row["size"] == size)
    columns = ("threads_per_inch", "major_mm", "pitch_diameter_mm", "minor_mm")
    headings = ("tpi", "major_diameter", "pitch_diameter", "minor_diameter")
    ours = [cell(thread_id(letter, size), column) for column in columns]
    assert ours == pytest.approx([float(printed[heading]) for heading in headings], abs=HALF_DIGIT_MM)


@pytest.mark.parametrize("letter", ["r", "rc"])
def test_taper_is_one_in_sixteen(letter: str, cell: Callable[[str, str], float]) -> None:
    """Public code quotes the half-angle 1 deg 47 min 24 s, rounded to the second."""
    taper = cell(thread_id(letter, "1/4"), "taper_on_diameter")
    assert taper == TAPER
    assert math.degrees(math.atan(taper / 2)) * 3600 == pytest.approx(1 * 3600 + 47 * 60 + 24, abs=0.5)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(
    ("letter", "side", "axial"),
    [("r", ThreadSide.EXTERNAL, AXIAL_EXTERNAL), ("rc", ThreadSide.INTERNAL, AXIAL_INTERNAL)],
)
def test_axial_tolerance_becomes_a_sixteenth_on_the_diameter(
    size: str, letter: str, side: ThreadSide, axial: dict[str, float], base: KnowledgeBase
) -> None:
    """Half the digit of the axial figure, divided by 16, and half the digit of our rounded deviation."""
    row = base.snapshot.thread_tolerance(thread_id(letter, size), side)
    assert row is not None
    deviations = (row.pitch_diameter_lower_mm, row.pitch_diameter_upper_mm)
    expected = axial[size] * TAPER
    assert deviations == pytest.approx((-expected, expected), abs=HALF_DIGIT_MM + 0.005 * TAPER)


@pytest.mark.parametrize("size", SIZES)
def test_diameter_tolerance_of_the_parallel_internal_thread(size: str, base: KnowledgeBase) -> None:
    row = base.snapshot.thread_tolerance(thread_id("rp", size), ThreadSide.INTERNAL)
    assert row is not None
    expected = PARALLEL_INTERNAL[size]
    deviations = (row.pitch_diameter_lower_mm, row.pitch_diameter_upper_mm)
    assert deviations == pytest.approx((-expected, expected), abs=HALF_DIGIT_MM)


@pytest.mark.parametrize("size", SIZES)
def test_external_gauge_length_may_be_one_turn_longer_or_shorter(size: str, cell: Callable[[str, str], float]) -> None:
    """ISO 7-1 gives the external tolerance as one turn; column b prints it in millimetres."""
    turn = pitch_mm(cell(thread_id("r", size), "threads_per_inch"))
    assert turn == pytest.approx(AXIAL_EXTERNAL[size], abs=0.005)
