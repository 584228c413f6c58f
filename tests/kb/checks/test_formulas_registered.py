"""FOR-001: every formula of the table is a function, and every function of the registry stands in the table."""

from __future__ import annotations

from typing import Any

from kb.checks import formulas_registered

LIKE = "formula/socket-clearance"


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(formulas_registered) == []


def test_a_formula_without_a_function(spoil: Any) -> None:
    spoil.add("formulas", LIKE, id="formula/socket-wear", title="wear of a socket")
    assert spoil.places() == [spoil.place("FOR-001", "formulas", "formula/socket-wear", "id")]


def test_a_withdrawn_formula_needs_no_function(spoil: Any) -> None:
    spoil.add("formulas", LIKE, id="formula/socket-wear", title="wear of a socket", checked_on="2026-11-25")
    spoil.withdraw("formulas", "formula/socket-wear")
    assert spoil.places() == []


def test_a_function_without_a_formula(spoil: Any) -> None:
    spoil.drop("formulas", "formula/additive-dose")
    (fault,) = spoil.faults()
    assert (fault.code, fault.file, fault.row_id) == ("FOR-001", "formulas.csv", "formula/additive-dose")
