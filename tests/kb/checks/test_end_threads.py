"""END-004: the bore of an end lies inside its thread, its shoulder outside."""

from __future__ import annotations

from typing import Any

from kb.checks import end_threads


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(end_threads) == []


def test_a_bore_wider_than_the_thread(spoil: Any) -> None:
    spoil.set("fitting_ends", "end/barb-10-g-1-4-a", bore_mm="12")
    assert spoil.places() == [spoil.place("END-004", "fitting_ends", "end/barb-10-g-1-4-a", "bore_mm")]


def test_a_shoulder_inside_the_thread(spoil: Any) -> None:
    spoil.set("fitting_ends", "end/barb-10-g-1-4-a", collar_diameter_mm="13")
    assert spoil.places() == [spoil.place("END-004", "fitting_ends", "end/barb-10-g-1-4-a", "collar_diameter_mm")]


def test_a_thread_of_less_than_one_turn(spoil: Any) -> None:
    spoil.set("fitting_ends", "end/barb-10-g-1-4-a", thread_length_mm="1")
    assert spoil.places() == [spoil.place("END-004", "fitting_ends", "end/barb-10-g-1-4-a", "thread_length_mm")]
