"""THR-006: the pitch of a thread leaves a core inside it."""

from __future__ import annotations

from typing import Any

from kb.checks import thread_core


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(thread_core) == []


def test_a_pitch_as_wide_as_the_thread(spoil: Any) -> None:
    spoil.set("threads", "thread/m10x1", designation="M10x9.5", pitch_mm="9.5")
    assert spoil.place("THR-006", "threads", "thread/m10x1", "pitch_mm") in spoil.places()


def test_a_pitch_in_the_place_of_threads_per_inch(spoil: Any) -> None:
    spoil.set("threads", "thread/unf-7-16-20", designation="special", threads_per_inch="1.27")
    assert spoil.places() == [spoil.place("THR-006", "threads", "thread/unf-7-16-20", "threads_per_inch")]
