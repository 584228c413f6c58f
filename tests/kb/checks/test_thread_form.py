"""THR-003: printed pitch and minor diameters are those of the thread form."""

from __future__ import annotations

from typing import Any

from kb.checks import thread_form


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(thread_form) == []


def test_a_pitch_diameter_with_exchanged_digits(spoil: Any) -> None:
    spoil.set("threads", "thread/g-1-4", pitch_diameter_mm="12.310")
    assert spoil.places() == [spoil.place("THR-003", "threads", "thread/g-1-4", "pitch_diameter_mm")]


def test_a_minor_diameter_with_exchanged_digits(spoil: Any) -> None:
    spoil.set("threads", "thread/g-1-4", minor_mm="11.454")
    assert spoil.places() == [spoil.place("THR-003", "threads", "thread/g-1-4", "minor_mm")]


def test_a_metric_pitch_diameter_of_another_pitch(spoil: Any) -> None:
    spoil.set("threads", "thread/m10x1", pitch_diameter_mm="9.026")
    assert spoil.places() == [spoil.place("THR-003", "threads", "thread/m10x1", "pitch_diameter_mm")]


def test_a_taper_pitch_diameter_at_the_small_end(spoil: Any) -> None:
    spoil.set("threads", "thread/npt-1-4", pitch_diameter_in="0.47739")
    assert spoil.places() == [spoil.place("THR-003", "threads", "thread/npt-1-4", "pitch_diameter_mm")]


def test_a_metric_pitch_diameter_as_printed(spoil: Any) -> None:
    spoil.set("threads", "thread/m10x1", pitch_diameter_mm="9.35", minor_mm="8.917")
    assert spoil.places() == []


def test_a_taper_pitch_diameter_at_the_gauge_plane(spoil: Any) -> None:
    spoil.set("threads", "thread/npt-1-4", pitch_diameter_in="0.49163")
    assert spoil.places() == []
