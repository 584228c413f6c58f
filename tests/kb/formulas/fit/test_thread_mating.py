"""Two threads: clearance, overlap, binding and bore, for every size."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.formulas.fit.thread_mating import (
    crest_overlap_percent,
    form_angle_difference_deg,
    largest_bore_mm,
    pitch_diameter_clearance_mm,
    pitch_difference_mm,
    pitch_error_on_diameter,
    turns_until_binding,
    wall_under_thread_mm,
)

BOUNDED = settings(max_examples=100, deadline=None, derandomize=True, database=None)
clearance = st.floats(0.001, 1.0)
error = st.floats(0.0, 0.5)
pitch = st.floats(0.5, 3.0)


@given(play=clearance, pitch=pitch, taper=st.floats(0.001, 0.1), error=error)
@BOUNDED
def test_play_is_used_up_after_the_named_turns(play: float, pitch: float, taper: float, error: float) -> None:
    turns = turns_until_binding(play, pitch, taper, error)
    assert turns * (taper * pitch + error) == pytest.approx(play)


@given(play=clearance, pitch=pitch, error=st.floats(0.001, 0.5), more=st.floats(0.001, 0.5))
@BOUNDED
def test_larger_pitch_error_binds_sooner(play: float, pitch: float, error: float, more: float) -> None:
    assert turns_until_binding(play, pitch, 0.0, error + more) < turns_until_binding(play, pitch, 0.0, error)


def test_equal_parallel_threads_never_bind() -> None:
    assert turns_until_binding(0.1, 1.337, 0.0, 0.0) == math.inf


@pytest.mark.parametrize("play", [0.0, -0.2])
def test_thread_without_play_binds_at_once(play: float) -> None:
    assert turns_until_binding(play, 1.337, 1 / 16, 0.1) == 0


@given(major=st.floats(9, 30), height=st.floats(0.3, 1.5))
@BOUNDED
def test_full_form_overlaps_by_its_whole_height(major: float, height: float) -> None:
    assert crest_overlap_percent(major, major - 2 * height, height) == pytest.approx(100)
    assert crest_overlap_percent(major, major, height) == 0


@given(first=st.floats(30, 90), second=st.floats(30, 90))
@BOUNDED
def test_differences_have_no_direction(first: float, second: float) -> None:
    assert form_angle_difference_deg(first, second) == form_angle_difference_deg(second, first) >= 0
    assert pitch_difference_mm(first, second) == pitch_difference_mm(second, first) >= 0
    assert pitch_error_on_diameter(first - second, 55) == pitch_error_on_diameter(second - first, 55)


def test_clearance_counts_positive_with_play() -> None:
    assert pitch_diameter_clearance_mm(12.4, 12.3) == pytest.approx(0.1)


@given(minor=st.floats(6, 30), wall=st.floats(0.2, 2.0))
@BOUNDED
def test_largest_bore_leaves_exactly_the_wall_asked_for(minor: float, wall: float) -> None:
    assert wall_under_thread_mm(minor, largest_bore_mm(minor, wall)) == pytest.approx(wall)
