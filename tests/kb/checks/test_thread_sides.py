"""THR-005: a thread stands only on the side that its designation allows."""

from __future__ import annotations

from typing import Any

from kb.checks import thread_sides


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(thread_sides) == []


def test_a_port_with_an_external_thread(spoil: Any) -> None:
    spoil.set("ports", "port/rc-1-4", thread_id="thread/r-1-4")
    assert spoil.places() == [spoil.place("THR-005", "ports", "port/rc-1-4", "thread_id")]


def test_a_male_end_with_an_internal_thread(spoil: Any) -> None:
    spoil.set("fitting_ends", "end/rigid-12-g-1-4-a", thread_id="thread/rp-1-4")
    assert spoil.places() == [spoil.place("THR-005", "fitting_ends", "end/rigid-12-g-1-4-a", "thread_id")]


def test_a_female_end_with_an_external_thread(spoil: Any) -> None:
    spoil.set("fitting_ends", "end/rotary-elbow-90-g-1-4-b", thread_id="thread/r-1-4")
    assert spoil.places() == [spoil.place("THR-005", "fitting_ends", "end/rotary-elbow-90-g-1-4-b", "thread_id")]


def test_internal_deviations_of_an_external_thread(spoil: Any) -> None:
    spoil.set("thread_tolerances", "thread-tolerance/r-1-4-external-standard", side="internal")
    assert spoil.places() == [
        spoil.place("THR-005", "thread_tolerances", "thread-tolerance/r-1-4-external-standard", "thread_id")
    ]
