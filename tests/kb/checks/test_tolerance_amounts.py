"""TOL-001: a tolerance says how far both ways: below and above, a percentage, or all three."""

from __future__ import annotations

from typing import Any

from kb.checks import tolerance_amounts


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(tolerance_amounts) == []


def test_a_tolerance_with_its_plus_side_only(spoil: Any) -> None:
    spoil.set("tolerances", "tolerance/acrylic-od", minus_mm="")
    assert spoil.places() == [spoil.place("TOL-001", "tolerances", "tolerance/acrylic-od", "minus_mm")]


def test_a_tolerance_without_any_amount(spoil: Any) -> None:
    spoil.set("tolerances", "tolerance/soft-wall", percent="")
    assert spoil.places() == [spoil.place("TOL-001", "tolerances", "tolerance/soft-wall", "minus_mm")]


def test_a_one_sided_tolerance_written_with_a_zero(spoil: Any) -> None:
    spoil.set("tolerances", "tolerance/acrylic-od", minus_mm="0")
    assert spoil.places() == []


def test_millimetres_beside_percent(spoil: Any) -> None:
    spoil.set("tolerances", "tolerance/acrylic-od", percent="1")
    assert spoil.places() == []
