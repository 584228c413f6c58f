"""END-003: the dimensions of an end lie inside one another."""

from __future__ import annotations

from typing import Any

from kb.checks import end_dimensions


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(end_dimensions) == []


def test_a_bore_wider_than_its_barb(spoil: Any) -> None:
    spoil.set("fitting_ends", "end/tee-barb-10-a", bore_mm="11.5")
    assert spoil.places() == [spoil.place("END-003", "fitting_ends", "end/tee-barb-10-a", "bore_mm")]


def test_a_socket_wider_than_its_groove(spoil: Any) -> None:
    spoil.set("fitting_ends", "end/rigid-12-g-1-4-b", socket_bore_mm="15.3")
    assert spoil.places() == [spoil.place("END-003", "fitting_ends", "end/rigid-12-g-1-4-b", "socket_bore_mm")]


def test_dimensions_nobody_stated_are_not_compared(spoil: Any) -> None:
    spoil.set("fitting_ends", "end/rigid-12-g-1-4-b", groove_diameter_mm="", collar_diameter_mm="")
    assert spoil.places() == []
