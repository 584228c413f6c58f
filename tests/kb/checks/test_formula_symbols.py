"""FOR-002: every name in an equation is explained by its symbols, and every symbol is used."""

from __future__ import annotations

from typing import Any

from kb.checks import formula_symbols

ROW = "formula/socket-clearance"


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(formula_symbols) == []


def test_a_name_that_no_symbol_explains(spoil: Any) -> None:
    spoil.set("formulas", ROW, equation="c = b - d - wear")
    assert spoil.places() == [spoil.place("FOR-002", "formulas", ROW, "symbols")]


def test_a_symbol_that_stands_nowhere(spoil: Any) -> None:
    spoil.set("formulas", ROW, symbols="c: clearance [mm]; b: socket [mm]; d: tube [mm]; w: wear [mm]")
    assert spoil.places() == [spoil.place("FOR-002", "formulas", ROW, "symbols")]


def test_numbers_and_functions_are_no_symbols(spoil: Any) -> None:
    spoil.set("formulas", ROW, equation="c = sqrt(b * 1e6) - max(d, 2.5) if b > 0 and d > 0 else 0")
    assert spoil.places() == []


def test_what_only_the_example_puts_in_may_be_explained(spoil: Any) -> None:
    spoil.set(
        "formulas",
        ROW,
        symbols="c: clearance [mm]; b: socket [mm]; d: tube [mm]; w: wear [mm]",
        example="b = 12.2, d = 12, w = 0 gives c = 0.2",
    )
    assert spoil.places() == []
