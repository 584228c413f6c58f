"""PMP-001: the curve of every pump falls from no flow to no head."""

from __future__ import annotations

from typing import Any

from kb.checks import pump_curves

PUMP, FIRST, SECOND = (
    "pump/strong-12-v-high-head",
    "pump-point/strong-12-v-high-head-1",
    "pump-point/strong-12-v-high-head-2",
)


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(pump_curves) == []


def test_a_head_that_rises_with_the_flow(spoil: Any) -> None:
    spoil.set("pump_points", SECOND, head_kpa="63")
    assert spoil.places() == [spoil.place("PMP-001", "pumps", PUMP, "id")]


def test_two_points_with_one_flow(spoil: Any) -> None:
    spoil.set("pump_points", SECOND, flow_l_min="0")
    assert spoil.places() == [spoil.place("PMP-001", "pumps", PUMP, "id")]


def test_a_curve_without_its_head_at_no_flow(spoil: Any) -> None:
    spoil.withdraw("pump_points", FIRST)
    assert spoil.places() == [spoil.place("PMP-001", "pumps", PUMP, "id")]


def test_a_pump_without_points(spoil: Any) -> None:
    spoil.add("pumps", PUMP, id="pump/without-points", title="pump without points")
    assert spoil.places() == [spoil.place("PMP-001", "pumps", "pump/without-points", "id")]
