"""One thread: the 55 degree, 60 degree and taper forms against each other and against plane geometry."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.formulas.fit.thread_geometry import (
    diameter_along_taper_mm,
    metric_minor_mm,
    metric_pitch_diameter_mm,
    npt_small_end_pitch_diameter_mm,
    pitch_mm,
    triangle_height_mm,
    whitworth_height_mm,
)

BOUNDED = settings(max_examples=100, deadline=None, derandomize=True, database=None)
pitch = st.floats(0.5, 3.0)


@given(pitch=pitch, angle=st.floats(29, 90))
@BOUNDED
def test_triangle_closes(pitch: float, angle: float) -> None:
    height = triangle_height_mm(pitch, angle)
    assert math.degrees(2 * math.atan(pitch / 2 / height)) == pytest.approx(angle)


def test_height_of_an_equilateral_thread() -> None:
    assert triangle_height_mm(2.0, 60) == pytest.approx(math.sqrt(3))


@given(major=st.floats(8, 40), pitch=pitch)
@BOUNDED
def test_sixty_degree_diameters_stand_in_their_fixed_ratio(major: float, pitch: float) -> None:
    """The pitch line lies 3/8 H under the crest, the internal crest 5/8 H: their depths are as 3 to 5."""
    to_pitch_line = major - metric_pitch_diameter_mm(major, pitch)
    to_minor = major - metric_minor_mm(major, pitch)
    assert to_pitch_line / to_minor == pytest.approx(3 / 5)


def test_whitworth_form_cuts_a_third_of_the_triangle() -> None:
    assert whitworth_height_mm(1.0) == pytest.approx(2 / 3 * triangle_height_mm(1.0, 55))


@given(diameter=st.floats(5, 40), distance=st.floats(-20, 20))
@BOUNDED
def test_way_along_a_taper_and_back_ends_where_it_began(diameter: float, distance: float) -> None:
    there = diameter_along_taper_mm(diameter, distance, 1 / 16)
    assert diameter_along_taper_mm(there, -distance, 1 / 16) == pytest.approx(diameter)


def test_formula_of_the_small_end_is_one_for_inches() -> None:
    """The constant 1.1 counts threads, not millimetres: doubling the pipe does not double the allowance."""
    small, large = (npt_small_end_pitch_diameter_mm(size * 25.4, 18) / 25.4 for size in (0.540, 1.080))
    assert (0.540 - small, 1.080 - large) == pytest.approx(((0.027 + 1.1) / 18, (0.054 + 1.1) / 18))


@given(turns=st.floats(1, 100))
@BOUNDED
def test_pitch_is_the_share_of_an_inch(turns: float) -> None:
    assert pitch_mm(turns) * turns == pytest.approx(25.4)
