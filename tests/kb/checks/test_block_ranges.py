"""BLK-001: the low figure of a block is not above its usual one, nor that above the high one."""

from __future__ import annotations

from typing import Any

from kb.checks import block_ranges

BLOCK = "block/cpu-micro-fin"


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(block_ranges) == []


def test_a_usual_drop_above_the_high_one(spoil: Any) -> None:
    spoil.set("blocks", BLOCK, drop_kpa="17")
    assert spoil.places() == [spoil.place("BLK-001", "blocks", BLOCK, "drop_kpa")]


def test_a_usual_drop_below_the_low_one(spoil: Any) -> None:
    spoil.set("blocks", BLOCK, drop_kpa="1")
    assert spoil.places() == [spoil.place("BLK-001", "blocks", BLOCK, "drop_kpa")]


def test_thermal_resistances_in_each_others_columns(spoil: Any) -> None:
    spoil.set("blocks", BLOCK, thermal_resistance_low_k_per_w="0.2")
    assert spoil.places() == [spoil.place("BLK-001", "blocks", BLOCK, "thermal_resistance_low_k_per_w")]
