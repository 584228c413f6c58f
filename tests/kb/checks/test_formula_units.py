"""FOR-003: a quantity is given in the unit of its formula, and so is the result of the formula."""

from __future__ import annotations

from typing import Any

from kb.checks import formula_units


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(formula_units) == []


def test_a_quantity_in_another_unit_than_its_formula(spoil: Any) -> None:
    spoil.set("quantities", "quantity/od-on-barb", formula_id="formula/wall-thinning")
    assert spoil.places() == [spoil.place("FOR-003", "quantities", "quantity/od-on-barb", "formula_id")]


def test_a_formula_whose_result_has_another_unit(spoil: Any) -> None:
    spoil.set("formulas", "formula/fans-depth", unit="cm")
    assert spoil.places() == [spoil.place("FOR-003", "formulas", "formula/fans-depth", "unit")]


def test_a_formula_without_a_unit_serves_quantities_of_any(spoil: Any) -> None:
    spoil.set("quantities", "quantity/sound-over-target", formula_id="formula/stated-value")
    assert spoil.places() == []
