"""THT-002: deviations lie in order, and on the side that lets threads meet."""

from __future__ import annotations

from typing import Any

from kb.checks import thread_deviations


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(thread_deviations) == []


def test_a_lower_deviation_above_the_upper_one(spoil: Any) -> None:
    spoil.set("thread_tolerances", "thread-tolerance/m10x1-external-6g", major_lower_mm="-0.02")
    assert spoil.places() == [
        spoil.place("THT-002", "thread_tolerances", "thread-tolerance/m10x1-external-6g", "major_lower_mm")
    ]


def test_an_external_thread_with_a_lost_minus_sign(spoil: Any) -> None:
    spoil.set("thread_tolerances", "thread-tolerance/m10x1-external-6g", major_upper_mm="0.026")
    assert spoil.places() == [
        spoil.place("THT-002", "thread_tolerances", "thread-tolerance/m10x1-external-6g", "major_upper_mm")
    ]


def test_an_internal_thread_below_basic(spoil: Any) -> None:
    spoil.set("thread_tolerances", "thread-tolerance/g-1-4-internal-standard", minor_lower_mm="-0.1")
    assert spoil.places() == [
        spoil.place("THT-002", "thread_tolerances", "thread-tolerance/g-1-4-internal-standard", "minor_lower_mm")
    ]


def test_threads_tight_on_the_thread_stray_both_ways(spoil: Any) -> None:
    spoil.set("thread_tolerances", "thread-tolerance/npt-1-4-external-standard", pitch_diameter_upper_mm="0.09")
    assert spoil.places() == []
