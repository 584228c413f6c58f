"""ASME B1.20.1-2013 (and 1983), Table 2: basic dimensions of NPT threads, in inches.

Carriers read: public pages that print n, D, E1, L1 and L1 in threads (as noted in the rows of the tables); package
solidpython2 2.1.3 (BOSL2 2.0.716, threading.scad, table of npt_threaded_rod: threads per inch); package bd_warehouse
0.4.0, pipe.csv (outside diameter of steel pipe, schedule 40). E0 follows from the formula of the standard.
Each figure is held to half its last printed digit.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import pytest

from kb.formulas.fit.thread_geometry import (
    diameter_along_taper_mm,
    npt_height_mm,
    npt_small_end_pitch_diameter_mm,
    pitch_mm,
)
from kb.formulas.fit.thread_mating import turns_until_binding

TAPER = 1 / 16
INCH = 25.4


class Printed(NamedTuple):
    size: str
    outside: float
    small_end: float
    hand_tight_plane: float
    half_digit_of_plane: float
    hand_tight_length: float
    half_digit_of_length: float
    hand_tight_turns: float


TABLE_2 = [
    Printed("1/8", 0.405, 0.36351, 0.3736, 0.00005, 0.1615, 0.00005, 4.36),
    Printed("1/4", 0.540, 0.47739, 0.49163, 0.000005, 0.2278, 0.00005, 4.10),
    Printed("3/8", 0.675, 0.61201, 0.62701, 0.000005, 0.240, 0.0005, 4.32),
    Printed("1/2", 0.840, 0.75843, 0.77843, 0.000005, 0.320, 0.0005, 4.48),
    Printed("3/4", 1.050, 0.96768, 0.98887, 0.000005, 0.339, 0.0005, 4.75),
]
ROWS = pytest.mark.parametrize("row", TABLE_2, ids=lambda row: row.size)


def thread_id(size: str) -> str:
    return f"thread/npt-{size.replace('/', '-')}"


@ROWS
def test_pipe_diameter_and_gauge_length_in_the_tables(row: Printed, cell: Callable[[str, str], float]) -> None:
    assert cell(thread_id(row.size), "major_mm") / INCH == pytest.approx(row.outside, abs=0.0005)
    length = cell(thread_id(row.size), "gauge_length_mm") / INCH
    assert length == pytest.approx(row.hand_tight_length, abs=row.half_digit_of_length)


@ROWS
def test_pitch_diameter_at_the_small_end_by_formula(row: Printed, cell: Callable[[str, str], float]) -> None:
    turns = cell(thread_id(row.size), "threads_per_inch")
    small_end = npt_small_end_pitch_diameter_mm(row.outside * INCH, turns) / INCH
    assert small_end == pytest.approx(row.small_end, abs=0.000005 + 1e-9)


@ROWS
def test_pitch_diameter_at_the_hand_tight_plane(row: Printed, cell: Callable[[str, str], float]) -> None:
    """E1 = E0 + L1 / 16; rounding of L1 to its printed digit adds a sixteenth of half that digit."""
    turns = cell(thread_id(row.size), "threads_per_inch")
    small_end = npt_small_end_pitch_diameter_mm(row.outside * INCH, turns)
    plane = diameter_along_taper_mm(small_end, row.hand_tight_length * INCH, TAPER) / INCH
    allowed = row.half_digit_of_plane + row.half_digit_of_length / 16
    assert plane == pytest.approx(row.hand_tight_plane, abs=allowed)


@ROWS
def test_threads_per_inch_of_a_second_carrier(
    row: Printed, cell: Callable[[str, str], float], scad_rows: Callable[[str, str], dict[str, list[str]]]
) -> None:
    *_, turns = scad_rows("threading.scad", "info_table")[row.size]
    assert cell(thread_id(row.size), "threads_per_inch") == float(turns)


@ROWS
def test_outside_diameter_is_that_of_steel_pipe(
    row: Printed, cell: Callable[[str, str], float], warehouse: Callable[[str], list[dict[str, str]]]
) -> None:
    pipes = {
        pipe["nps"]: pipe for pipe in warehouse("pipe.csv") if (pipe["material"], pipe["identifier"]) == ("steel", "40")
    }
    assert cell(thread_id(row.size), "major_mm") / INCH == pytest.approx(float(pipes[row.size]["od"]), abs=0.0005)


@ROWS
def test_hand_tight_turns_follow_from_where_the_threads_bind(row: Printed, cell: Callable[[str, str], float]) -> None:
    """A public page prints L1 in threads; the play between E1 and E0 must be taken up after as many turns.

    L1 is printed to 3 or 4 decimals, so turns may differ by half its last digit times n besides their own half digit.
    """
    threads = cell(thread_id(row.size), "threads_per_inch")
    length = cell(thread_id(row.size), "gauge_length_mm")
    entry = diameter_along_taper_mm(0.0, length, TAPER)
    turns = turns_until_binding(entry, pitch_mm(threads), TAPER, 0.0)
    assert turns == pytest.approx(row.hand_tight_turns, abs=0.005 + row.half_digit_of_length * threads)


def test_largest_thread_height() -> None:
    """Clause 2.4 as quoted by a public page: h = 0.800 p, printed 0.04444 in for 18 threads."""
    assert npt_height_mm(pitch_mm(18)) / INCH == pytest.approx(0.04444, abs=0.000005)
