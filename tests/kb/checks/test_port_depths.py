"""POR-001: the full thread of a port is no deeper than its drill."""

from __future__ import annotations

from typing import Any

from kb.checks import port_depths


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(port_depths) == []


def test_a_thread_deeper_than_its_drill(spoil: Any) -> None:
    spoil.set("ports", "port/g-1-4-din-3852-2", thread_depth_min_mm="18.5", drill_depth_min_mm="12")
    assert spoil.places() == [spoil.place("POR-001", "ports", "port/g-1-4-din-3852-2", "thread_depth_min_mm")]


def test_a_thread_down_to_the_bottom(spoil: Any) -> None:
    spoil.set("ports", "port/g-1-4-din-3852-2", drill_depth_min_mm="12")
    assert spoil.places() == []
