"""THR-002: minor, pitch and major diameter of a thread grow in this order."""

from __future__ import annotations

from typing import Any

from kb.checks import thread_diameters


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(thread_diameters) == []


def test_a_pitch_diameter_above_the_major_one(spoil: Any) -> None:
    spoil.set("threads", "thread/g-1-4", pitch_diameter_mm="13.5", minor_mm="")
    assert spoil.place("THR-002", "threads", "thread/g-1-4", "pitch_diameter_mm") in spoil.places()


def test_a_minor_diameter_exchanged_with_the_pitch_diameter(spoil: Any) -> None:
    spoil.set("threads", "thread/g-1-4", pitch_diameter_mm="11.445", minor_mm="12.301")
    assert spoil.place("THR-002", "threads", "thread/g-1-4", "minor_mm") in spoil.places()


def test_diameters_that_are_not_printed_are_not_compared(spoil: Any) -> None:
    spoil.set("threads", "thread/g-1-4", pitch_diameter_mm="")
    assert spoil.places() == []
