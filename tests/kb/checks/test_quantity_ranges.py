"""UNI-004: the range of a quantity spans something and reaches no lower than its unit allows."""

from __future__ import annotations

from typing import Any

from kb.checks import quantity_ranges


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(quantity_ranges) == []


def test_a_range_that_begins_below_absolute_zero(spoil: Any) -> None:
    spoil.set("quantities", "quantity/coolant-temperature", least="-273.16")
    assert spoil.places() == [spoil.place("UNI-004", "quantities", "quantity/coolant-temperature", "least")]


def test_a_range_that_begins_at_absolute_zero_is_one(spoil: Any) -> None:
    spoil.set("quantities", "quantity/coolant-temperature", least="-273.15")
    assert spoil.places() == []


def test_a_range_whose_ends_are_exchanged(spoil: Any) -> None:
    spoil.set("quantities", "quantity/anode-rate-factor", least="10", most="1")
    assert spoil.places() == [spoil.place("UNI-004", "quantities", "quantity/anode-rate-factor", "most")]


def test_a_range_of_one_value(spoil: Any) -> None:
    spoil.set("quantities", "quantity/anode-rate-factor", least="10", most="10")
    assert spoil.places() == [spoil.place("UNI-004", "quantities", "quantity/anode-rate-factor", "most")]
