"""THR-004: taper threads carry a gauge length, parallel ones none."""

from __future__ import annotations

from typing import Any

from kb.checks import thread_gauge


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(thread_gauge) == []


def test_a_taper_thread_without_gauge_length(spoil: Any) -> None:
    spoil.set("threads", "thread/r-1-4", gauge_length_mm="")
    assert spoil.places() == [spoil.place("THR-004", "threads", "thread/r-1-4", "gauge_length_mm")]


def test_a_parallel_thread_with_gauge_length(spoil: Any) -> None:
    spoil.set("threads", "thread/g-1-4", gauge_length_mm="6")
    assert spoil.places() == [spoil.place("THR-004", "threads", "thread/g-1-4", "gauge_length_mm")]
