"""END-001: every kind of end fills the columns it needs and none that belong to another kind."""

from __future__ import annotations

from typing import Any

from kb.checks import end_columns


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(end_columns) == []


def test_a_threaded_end_without_thread(spoil: Any) -> None:
    spoil.set("fitting_ends", "end/rigid-12-g-1-4-a", thread_id="")
    assert spoil.places() == [spoil.place("END-001", "fitting_ends", "end/rigid-12-g-1-4-a", "thread_id")]


def test_a_threaded_end_that_does_not_say_where_it_seals(spoil: Any) -> None:
    spoil.set("fitting_ends", "end/rigid-12-g-1-4-a", seals_on="")
    assert spoil.places() == [spoil.place("END-001", "fitting_ends", "end/rigid-12-g-1-4-a", "seals_on")]


def test_a_tube_end_with_a_thread(spoil: Any) -> None:
    spoil.set("fitting_ends", "end/rigid-12-g-1-4-b", thread_id="thread/g-1-4")
    assert spoil.places() == [spoil.place("END-001", "fitting_ends", "end/rigid-12-g-1-4-b", "thread_id")]


def test_a_ring_end_without_the_tube_it_is_made_for(spoil: Any) -> None:
    spoil.set("fitting_ends", "end/rigid-12-g-1-4-b", tube_od_mm="")
    assert spoil.places() == [spoil.place("END-001", "fitting_ends", "end/rigid-12-g-1-4-b", "tube_od_mm")]


def test_a_threaded_end_with_a_barb(spoil: Any) -> None:
    spoil.set("fitting_ends", "end/rigid-12-g-1-4-a", barb_od_mm="11")
    assert spoil.places() == [spoil.place("END-001", "fitting_ends", "end/rigid-12-g-1-4-a", "barb_od_mm")]


def test_a_coupling_half_without_pattern(spoil: Any) -> None:
    spoil.set("fitting_ends", "end/quick-coupling-plug-6-g-1-4-male-b", coupling_pattern="")
    assert spoil.places() == [
        spoil.place("END-001", "fitting_ends", "end/quick-coupling-plug-6-g-1-4-male-b", "coupling_pattern")
    ]


def test_a_ring_on_an_end_that_seals_on_its_thread(spoil: Any) -> None:
    spoil.set("fitting_ends", "end/rigid-12-g-1-4-a", seals_on="thread")
    assert spoil.places() == [spoil.place("END-001", "fitting_ends", "end/rigid-12-g-1-4-a", "seal_id")]
