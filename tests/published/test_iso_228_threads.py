"""ISO 228-1:2000, Table 1: sizes and tolerances of parallel pipe threads G.

Carriers read: package bd_warehouse 0.4.0, data/iso_228_1.csv (every size we carry); public repository
adrianschlatter/threadlib, design/BSPP_thread.csv at commit 827723d1 (pitch and thread height); public repository
BelfrySCAD/BOSL2, threading.scad (major diameters in inches). The paper itself was not open.
Printed to 0.001 mm and 0.001 in, so the tolerance is half of that.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from kb.formulas.fit.thread_geometry import pitch_mm, triangle_height_mm, whitworth_height_mm
from kb.knowledge_base import KnowledgeBase
from kb.store.snapshot import Snapshot
from schemas.tables.thread_tolerances import ThreadSide, ThreadTolerance
from schemas.tables.threads import Thread

HALF_DIGIT_MM = 0.0005
HALF_DIGIT_IN = 0.0005
SIZES = ("1/8", "1/4", "3/8", "1/2", "3/4", "1")
Rows = list[dict[str, str]]


def thread_id(size: str) -> str:
    return f"thread/g-{size.replace('/', '-')}"


@pytest.fixture(scope="module")
def printed(warehouse: Callable[[str], Rows]) -> dict[str, dict[str, str]]:
    return {row["size"]: row for row in warehouse("data/iso_228_1.csv")}


def test_every_g_thread_of_the_tables_is_held_against_the_carrier(snapshot: Snapshot) -> None:
    ours = {row.id for row in snapshot.active(Thread) if row.family_id == "family/thread-parallel-pipe"}
    assert ours == {thread_id(size) for size in SIZES}


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(
    ("column", "heading"),
    [
        ("threads_per_inch", "tpi"),
        ("major_mm", "major_diameter"),
        ("pitch_diameter_mm", "pitch_diameter"),
        ("minor_mm", "minor_diameter"),
    ],
)
def test_basic_size_of_g_thread(
    size: str, column: str, heading: str, printed: dict[str, dict[str, str]], cell: Callable[[str, str], float]
) -> None:
    assert cell(thread_id(size), column) == pytest.approx(float(printed[size][heading]), abs=HALF_DIGIT_MM)


def tolerance(base: KnowledgeBase, size: str, side: ThreadSide, tolerance_class: str) -> ThreadTolerance:
    rows = base.snapshot.active(ThreadTolerance)
    wanted = (thread_id(size), side, tolerance_class)
    return next(row for row in rows if (row.thread_id, row.side, row.tolerance_class) == wanted)


@pytest.mark.parametrize("size", SIZES)
def test_internal_tolerances_of_g_thread(size: str, printed: dict[str, dict[str, str]], base: KnowledgeBase) -> None:
    row = tolerance(base, size, ThreadSide.INTERNAL, "standard")
    ours = (row.pitch_diameter_lower_mm, row.pitch_diameter_upper_mm, row.minor_lower_mm, row.minor_upper_mm)
    pitch, minor = float(printed[size]["pitch_tolerance"]), float(printed[size]["internal_minor_tolerance"])
    assert ours == pytest.approx((0, pitch, 0, minor), abs=HALF_DIGIT_MM)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(("tolerance_class", "times"), [("A", 1), ("B", 2)])
def test_external_tolerances_of_g_thread(
    size: str, tolerance_class: str, times: int, printed: dict[str, dict[str, str]], base: KnowledgeBase
) -> None:
    """Class B is twice class A on the pitch diameter; the major diameter has one tolerance."""
    row = tolerance(base, size, ThreadSide.EXTERNAL, tolerance_class)
    ours = (row.major_lower_mm, row.major_upper_mm, row.pitch_diameter_lower_mm, row.pitch_diameter_upper_mm)
    major, pitch = float(printed[size]["external_major_tolerance"]), float(printed[size]["pitch_tolerance"])
    assert ours == pytest.approx((-major, 0, -times * pitch, 0), abs=HALF_DIGIT_MM)


@pytest.mark.parametrize(
    ("size", "inches"), [("1/8", 0.383), ("1/4", 0.518), ("3/8", 0.656), ("1/2", 0.825), ("3/4", 1.041), ("1", 1.309)]
)
def test_major_diameter_in_inches(size: str, inches: float, cell: Callable[[str, str], float]) -> None:
    """Second carrier, independent of the millimetre tables: BOSL2 prints the old inch diameters."""
    assert cell(thread_id(size), "major_mm") / 25.4 == pytest.approx(inches, abs=HALF_DIGIT_IN)


@pytest.mark.parametrize(("tpi", "pitch", "height"), [(28, 0.907, 0.581), (19, 1.337, 0.856), (14, 1.814, 1.162)])
def test_pitch_and_height_by_formula(tpi: int, pitch: float, height: float) -> None:
    """threadlib prints P and h of Table 1; we compute both from the threads per inch."""
    assert pitch_mm(tpi) == pytest.approx(pitch, abs=HALF_DIGIT_MM)
    assert whitworth_height_mm(pitch_mm(tpi)) == pytest.approx(height, abs=HALF_DIGIT_MM)


def test_constants_of_the_55_degree_form() -> None:
    """ISO 228-1 and ISO 7-1, clause on the thread form: H = 0.960491 P, h = 0.640327 P."""
    assert triangle_height_mm(1.0, 55) == pytest.approx(0.960491, abs=5e-7)
    assert whitworth_height_mm(1.0) == pytest.approx(0.640327, abs=5e-7)
