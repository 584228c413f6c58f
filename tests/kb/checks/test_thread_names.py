"""THR-007: the size and pitch in the name of a thread are those of its columns."""

from __future__ import annotations

from typing import Any

from kb.checks import thread_names


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(thread_names) == []


def test_a_metric_thread_of_another_pitch(spoil: Any) -> None:
    spoil.set("threads", "thread/m10x1", pitch_mm="1.25")
    assert spoil.places() == [spoil.place("THR-007", "threads", "thread/m10x1", "pitch_mm")]


def test_a_unified_thread_of_other_threads_per_inch(spoil: Any) -> None:
    spoil.set("threads", "thread/unf-7-16-20", threads_per_inch="18")
    assert spoil.places() == [spoil.place("THR-007", "threads", "thread/unf-7-16-20", "threads_per_inch")]
