"""DIN 3852-1, DIN 3852-2 and ISO 6149-1: ports, as one public page of a hydraulic tube-fitting maker prints them.

Carrier read: that page, headed DIN 3852-1/-2/-3 and ISO 6149 (a single carrier; the papers were not open); form X with
narrow spotface, whose diameter carries +0.4. Taper studs: the page's taper rows (form Z). Lengths to 0.1 or 0.5 mm.
Depths of the ports for R threads: JIS B 0203:1999, columns l and l', through a page that excerpts it.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from kb.knowledge_base import KnowledgeBase

HALF_DIGIT_MM = 0.05


@pytest.mark.parametrize(
    ("port", "spotface", "spotface_depth", "thread_depth", "drill_depth"),
    [
        ("g-1-8-din-3852-2", 15, 1, 8, 13),
        ("g-1-4-din-3852-2", 19, 1.5, 12, 18.5),
        ("g-3-8-din-3852-2", 23, 2, 12, 18.5),
        ("g-1-2-din-3852-2", 27, 2.5, 14, 22),
        ("g-3-4-din-3852-2", 33, 2.5, 16, 24),
        ("g-1-din-3852-2", 40, 2.5, 18, 27),
        ("m10x1-din-3852-1", 15, 1, 8, 13.5),
        ("m12x1-5-din-3852-1", 18, 1.5, 12, 18.5),
        ("m14x1-5-din-3852-1", 20, 1.5, 12, 18.5),
        ("m16x1-5-din-3852-1", 22, 1.5, 12, 18.5),
        ("m18x1-5-din-3852-1", 24, 2, 12, 18.5),
        ("m20x1-5-din-3852-1", 26, 2, 14, 20.5),
    ],
)
def test_port_with_narrow_spotface(
    port: str,
    spotface: float,
    spotface_depth: float,
    thread_depth: float,
    drill_depth: float,
    cell: Callable[[str, str], float],
) -> None:
    columns = ("spotface_diameter_min_mm", "spotface_depth_max_mm", "thread_depth_min_mm", "drill_depth_min_mm")
    ours = [cell(f"port/{port}", column) for column in columns]
    assert ours == pytest.approx([spotface, spotface_depth, thread_depth, drill_depth], abs=HALF_DIGIT_MM)


@pytest.mark.parametrize(
    ("port", "chamfer", "spotface", "thread_depth"),
    [("m10x1", 11.1, 20, 10), ("m14x1-5", 15.8, 25, 11.5), ("m16x1-5", 17.8, 27, 13)],
)
def test_port_with_ring_seat(
    port: str, chamfer: float, spotface: float, thread_depth: float, cell: Callable[[str, str], float]
) -> None:
    columns = ("chamfer_diameter_mm", "spotface_diameter_min_mm", "thread_depth_min_mm")
    ours = [cell(f"port/{port}-iso-6149-1", column) for column in columns]
    assert ours == pytest.approx([chamfer, spotface, thread_depth], abs=HALF_DIGIT_MM)


@pytest.mark.parametrize(
    ("size", "thread_depth", "drill_depth"),
    [("1-8", 5.5, 9.5), ("1-4", 8.5, 13.5), ("3-8", 8.5, 13.5), ("1-2", 10.5, 16.5)],
)
def test_short_port_for_a_taper_stud(
    size: str, thread_depth: float, drill_depth: float, cell: Callable[[str, str], float]
) -> None:
    ours = [cell(f"port/rc-{size}-din-3852-2", column) for column in ("thread_depth_min_mm", "drill_depth_min_mm")]
    assert ours == pytest.approx([thread_depth, drill_depth], abs=HALF_DIGIT_MM)


@pytest.mark.parametrize(
    ("size", "from_plane", "from_face"), [("1-4", 9.4, 11.0), ("3-8", 9.7, 11.4), ("1-2", 12.7, 15.0)]
)
def test_useful_thread_of_ports_for_taper_threads(
    size: str, from_plane: float, from_face: float, cell: Callable[[str, str], float]
) -> None:
    ours = [cell(f"port/{letter}-{size}", "thread_depth_min_mm") for letter in ("rc", "rp")]
    assert ours == pytest.approx([from_plane, from_face], abs=HALF_DIGIT_MM)


@pytest.mark.parametrize(
    ("fitting", "shoulder"), [("plug-g-1-8", 14), ("plug-g-1-4", 18), ("plug-g-3-8", 22), ("plug-g-1-2", 26)]
)
def test_shoulder_of_a_stud(fitting: str, shoulder: float, cell: Callable[[str, str], float]) -> None:
    """Stud shoulder D1 of DIN 3852-2: our archetypes say in their notes that they follow it."""
    assert cell(f"end/{fitting}-a", "collar_diameter_mm") == pytest.approx(shoulder, abs=0.5)


def test_memory_of_depths_is_not_passed_off_as_published(base: KnowledgeBase) -> None:
    """The depths of ISO 1179-1 were not seen anywhere; the rows say so."""
    rows = [row for row in base.snapshot.all_rows("ports") if row.id.endswith("iso-1179-1")]
    assert rows
    assert {(row.source_id, row.basis.value, row.confidence.value) for row in rows} == {
        ("source/from-memory", "from-memory", "low")
    }
