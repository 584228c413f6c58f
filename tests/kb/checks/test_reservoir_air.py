"""RSV-001: a reservoir holds more than the air that stays in it."""

from __future__ import annotations

from typing import Any

from kb.checks import reservoir_air


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(reservoir_air) == []


def test_a_reservoir_of_air(spoil: Any) -> None:
    spoil.set("reservoirs", "reservoir/bay-300", air_ml="300")
    assert spoil.places() == [spoil.place("RSV-001", "reservoirs", "reservoir/bay-300", "air_ml")]
