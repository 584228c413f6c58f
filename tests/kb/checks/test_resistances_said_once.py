"""RES-001: a resistance is said once, either as a loss coefficient on a bore or as one point."""

from __future__ import annotations

from typing import Any

from kb.checks import resistances_said_once

COEFFICIENT, POINT = "resistance/fitting-90", "resistance/radiator"


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(resistances_said_once) == []


def test_a_coefficient_without_its_bore(spoil: Any) -> None:
    spoil.set("resistances", COEFFICIENT, bore_mm="")
    assert spoil.places() == [spoil.place("RES-001", "resistances", COEFFICIENT, "loss_coefficient")]


def test_a_point_without_its_exponent(spoil: Any) -> None:
    spoil.set("resistances", POINT, drop_exponent="")
    assert spoil.places() == [spoil.place("RES-001", "resistances", POINT, "loss_coefficient")]


def test_a_coefficient_and_a_point_in_one_row(spoil: Any) -> None:
    spoil.set("resistances", POINT, loss_coefficient="1", laminar_coefficient="0", bore_mm="9")
    assert spoil.places() == [spoil.place("RES-001", "resistances", POINT, "loss_coefficient")]


def test_two_rows_for_one_kind_of_part(spoil: Any) -> None:
    spoil.add("resistances", COEFFICIENT, id="resistance/fitting-90-again")
    assert spoil.places() == [spoil.place("RES-001", "resistances", "resistance/fitting-90-again", "family_id")]


def test_a_second_angle_of_one_kind_of_part(spoil: Any) -> None:
    spoil.add("resistances", COEFFICIENT, id="resistance/fitting-95", angle_deg="95")
    assert spoil.places() == []
