"""PMP-002: the least speed of a pump lies below its full speed."""

from __future__ import annotations

from typing import Any

from kb.checks import pump_speeds

PUMP = "pump/strong-12-v-high-head"


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(pump_speeds) == []


def test_speeds_in_each_others_columns(spoil: Any) -> None:
    spoil.set("pumps", PUMP, speed_min_rpm="4600", speed_max_rpm="1500")
    assert spoil.places() == [spoil.place("PMP-002", "pumps", PUMP, "speed_min_rpm")]


def test_an_unknown_least_speed_is_no_fault(spoil: Any) -> None:
    spoil.set("pumps", PUMP, speed_min_rpm="")
    assert spoil.places() == []
