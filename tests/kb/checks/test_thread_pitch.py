"""THR-001: a thread has either a pitch in millimetres or threads per inch."""

from __future__ import annotations

from typing import Any

from kb.checks import thread_pitch


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(thread_pitch) == []


def test_a_thread_with_pitch_and_threads_per_inch(spoil: Any) -> None:
    spoil.set("threads", "thread/g-1-4", pitch_mm="1.337")
    assert spoil.places() == [spoil.place("THR-001", "threads", "thread/g-1-4", "pitch_mm")]


def test_a_thread_without_any_pitch(spoil: Any) -> None:
    spoil.set("threads", "thread/m10x1", pitch_mm="")
    assert spoil.places() == [spoil.place("THR-001", "threads", "thread/m10x1", "pitch_mm")]
