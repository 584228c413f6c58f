"""Every way a cell has been seen to go wrong: its exact code, line and column, and never another error."""

from __future__ import annotations

from typing import Any

import pytest
import test_spoiled_tables
from spoiling import NO_COLUMN, cell, row_written

CELLS = {
    "id left empty": (cell("id", ""), "CEL-001", "id"),
    "blank before an id": (cell("id", " tube/soft-10x13"), "CEL-001", "id"),
    "title left empty": (cell("title", ""), "CEL-001", "title"),
    "no-break blank": (cell("title", "soft tube 10\u00a0x 13 mm"), "CEL-001", "title"),
    "thin blank": (cell("designation", "10\u2009x\u200913 mm"), "CEL-001", "designation"),
    "invisible character": (cell("title", "soft\u200b tube"), "CEL-001", "title"),
    "tab inside a cell": (cell("title", "soft\ttube"), "CEL-001", "title"),
    "formula": (cell("title", "=A1+B1"), "CEL-001", "title"),
    "error value": (cell("note", "#REF!"), "CEL-001", "note"),
    "size turned into day and month": (cell("designation", "04-Jan"), "CEL-001", "designation"),
    "size turned into month and year": (cell("designation", "Oct-13"), "CEL-001", "designation"),
    "inch size turned into a date": (cell("id_in", "2026-01-04", row_id="tube/soft-3-8x5-8"), "CEL-001", "id_in"),
    "inch size with its mark": (cell("id_in", "3/8″", row_id="tube/soft-3-8x5-8"), "CEL-001", "id_in"),
    "typographic fraction": (cell("id_in", "⅜", row_id="tube/soft-3-8x5-8"), "CEL-001", "id_in"),
    "inch size of zero": (cell("id_in", "0/8", row_id="tube/soft-3-8x5-8"), "CEL-002", NO_COLUMN),
    "division by zero": (cell("id_in", "3/0", row_id="tube/soft-3-8x5-8"), "CEL-002", NO_COLUMN),
    "inch and millimetres filled": (cell("id_mm", "9.525", row_id="tube/soft-3-8x5-8"), "CEL-003", "id_mm"),
    "decimal comma": (cell("od_mm", "13,0"), "CEL-001", "od_mm"),
    "unit in a number": (cell("od_mm", "13 mm"), "CEL-001", "od_mm"),
    "fraction in a number": (cell("od_mm", "1/2"), "CEL-001", "od_mm"),
    "scientific form": (cell("od_mm", "1.3e1"), "CEL-001", "od_mm"),
    "not a number": (cell("od_mm", "nan"), "CEL-001", "od_mm"),
    "infinity": (cell("od_mm", "inf"), "CEL-001", "od_mm"),
    "number beyond all bounds": (cell("od_mm", "9" * 400), "CEL-001", "od_mm"),
    "digits of another script": (cell("od_mm", "١٣"), "CEL-001", "od_mm"),
    "plus sign": (cell("od_mm", "+13"), "CEL-001", "od_mm"),
    "leading zero": (cell("od_mm", "013"), "CEL-001", "od_mm"),
    "typographic minus": (cell("od_mm", "−13"), "CEL-001", "od_mm"),
    "expression": (cell("od_mm", "9**9**9"), "CEL-001", "od_mm"),
    "word misspelt": (cell("nominal_means", "outsid"), "CEL-001", "nominal_means"),
    "word in capitals": (cell("basis", "From-Memory"), "CEL-001", "basis"),
    "true for yes": (
        cell("turns_after_tightening", "TRUE", "fittings", "fitting/rigid-12-g-1-4"),
        "CEL-001",
        "turns_after_tightening",
    ),
    "day before year": (cell("checked_on", "25.11.2026"), "CEL-001", "checked_on"),
    "day that does not exist": (cell("checked_on", "2026-02-30"), "CEL-001", "checked_on"),
    "rank with a decimal point": (cell("rank", "1.0", "sources", "source/en-1057"), "CEL-001", "rank"),
    "rank of five thousand digits": (cell("rank", "9" * 5000, "sources", "source/en-1057"), "CEL-001", "rank"),
    "list with commas": (
        cell("caution_ids", "caution/leak-test,caution/hose-clamp", "limits", "limit/barb-stretch-small"),
        "CEL-001",
        "caution_ids",
    ),
    "list with an item twice": (
        cell("caution_ids", "caution/leak-test caution/leak-test", "limits", "limit/barb-stretch-small"),
        "CEL-001",
        "caution_ids",
    ),
    "id in capitals": (cell("id", "tube/Soft-10x13"), "SCH-001", "id"),
    "id of another table": (cell("id", "port/soft-10x13"), "SCH-001", "id"),
    "diameter of zero": (cell("od_mm", "0"), "SCH-001", "od_mm"),
    "diameter below zero": (cell("od_mm", "-13"), "SCH-001", "od_mm"),
    "diameter of a building": (cell("od_mm", "13000"), "SCH-001", "od_mm"),
    "rank out of range": (cell("rank", "10", "sources", "source/en-1057"), "SCH-001", "rank"),
    "unit nobody knows": (cell("unit", "furlong", "quantities", "quantity/collar-gap"), "SCH-001", "unit"),
    "angle beyond half a turn": (
        cell("angle_deg", "270", "fittings", "fitting/rigid-12-g-1-4"),
        "SCH-001",
        "angle_deg",
    ),
    "date where an id belongs": (cell("family_id", "2026-01-04"), "REF-001", "family_id"),
    "family that does not exist": (cell("family_id", "family/tube-sofft"), "REF-001", "family_id"),
    "source that does not exist": (cell("source_id", "source/nobody"), "REF-001", "source_id"),
    "family above itself": (cell("parent_id", "family/tube", "families", "family/tube"), "FAM-001", "parent_id"),
    "limit in another unit": (cell("unit", "mm", "limits", "limit/barb-stretch-small"), "UNI-001", "unit"),
    "outside smaller than inside": (cell("od_mm", "9"), "TUB-001", "od_mm"),
    "remembered and trusted": (cell("confidence", "high"), "SRC-003", "confidence"),
    "letter of another alphabet in an id": (cell("id", "tube/s\u043eft-10x13"), "SCH-001", "id"),
    "letter of another alphabet in a reference": (cell("family_id", "family/tube-s\u043eft"), "REF-001", "family_id"),
    "wide digits": (cell("od_mm", "\uff11\uff13"), "CEL-001", "od_mm"),
    "raised digit": (cell("od_mm", "13\u00b2"), "CEL-001", "od_mm"),
    "comma between thousands": (cell("od_mm", "1,300"), "CEL-001", "od_mm"),
    "blank between thousands": (cell("od_mm", "1 300"), "CEL-001", "od_mm"),
    "narrow no-break blank between thousands": (cell("od_mm", "1\u202f300"), "CEL-001", "od_mm"),
    "apostrophe between thousands": (cell("od_mm", "1'300"), "CEL-001", "od_mm"),
    "comma and point": (cell("od_mm", "1.300,5"), "CEL-001", "od_mm"),
    "two points": (cell("od_mm", "13..5"), "CEL-001", "od_mm"),
    "point without digits before it": (cell("od_mm", ".5"), "CEL-001", "od_mm"),
    "point without digits behind it": (cell("od_mm", "13."), "CEL-001", "od_mm"),
    "underscore between digits": (cell("od_mm", "1_3"), "CEL-001", "od_mm"),
    "number of another base": (cell("od_mm", "0x0d"), "CEL-001", "od_mm"),
    "range in a number": (cell("od_mm", "13-14"), "CEL-001", "od_mm"),
    "tolerance in a number": (cell("od_mm", "13 \u00b1 0.1"), "CEL-001", "od_mm"),
    "about a number": (cell("od_mm", "~13"), "CEL-001", "od_mm"),
    "less than a number": (cell("od_mm", "<13"), "CEL-001", "od_mm"),
    "percent sign": (cell("od_mm", "13%"), "CEL-001", "od_mm"),
    "letter l for one": (cell("od_mm", "l3"), "CEL-001", "od_mm"),
    "letter O for nought": (cell("od_mm", "1O"), "CEL-001", "od_mm"),
    "word for an unknown number": (cell("od_mm", "unknown"), "CEL-001", "od_mm"),
    "dash for an unknown number": (cell("od_mm", "-"), "CEL-001", "od_mm"),
    "not available": (cell("od_mm", "N/A"), "CEL-001", "od_mm"),
    "blank alone": (cell("od_mm", " "), "CEL-001", "od_mm"),
    "truth value in a number": (cell("od_mm", "TRUE"), "CEL-001", "od_mm"),
    "inches in the place of millimetres": (cell("od_mm", '1/2"'), "CEL-001", "od_mm"),
    "blank behind a number": (cell("od_mm", "13 "), "CEL-001", "od_mm"),
    "blank behind every comma": (row_written(b",family/tube-soft,", b", family/tube-soft,"), "CEL-001", "family_id"),
    "mark of byte order inside": (cell("title", "soft\ufeff tube"), "CEL-001", "title"),
    "soft hyphen": (cell("title", "soft\u00ad tube"), "CEL-001", "title"),
    "letters turned round": (cell("title", "soft \u202etube"), "CEL-001", "title"),
    "line separator": (cell("title", "soft\u2028tube"), "CEL-001", "title"),
    "vertical tab": (cell("title", "soft\x0btube"), "CEL-001", "title"),
    "replacement character": (cell("basis", "from\ufffdmemory"), "CEL-001", "basis"),
    "character nobody assigned": (cell("title", "soft \U000e0fff tube"), "CEL-001", "title"),
    "formula that begins with a plus": (cell("note", "+cmd|' /C calc'!A0"), "CEL-001", "note"),
    "formula that begins with a minus": (cell("note", "-A1*2"), "CEL-001", "note"),
    "formula that begins with an at sign": (cell("note", "@SUM(1+1)"), "CEL-001", "note"),
    "formula in a number": (cell("od_mm", "=12+1"), "CEL-001", "od_mm"),
    "day as a number": (cell("checked_on", "46351"), "CEL-001", "checked_on"),
    "day with an hour": (cell("checked_on", "2026-11-25T00:00:00"), "CEL-001", "checked_on"),
    "month before day": (cell("checked_on", "11/25/2026"), "CEL-001", "checked_on"),
    "year of two digits": (cell("checked_on", "26-11-25"), "CEL-001", "checked_on"),
    "day left empty": (cell("checked_on", ""), "CEL-001", "checked_on"),
    "thirteenth month": (cell("checked_on", "2026-13-01"), "CEL-001", "checked_on"),
    "source left empty": (cell("source_id", ""), "CEL-001", "source_id"),
    "basis left empty": (cell("basis", ""), "CEL-001", "basis"),
    "letter for yes": (
        cell("turns_after_tightening", "Y", "fittings", "fitting/rigid-12-g-1-4"),
        "CEL-001",
        "turns_after_tightening",
    ),
    "list with a blank too many": (
        cell("caution_ids", "caution/leak-test  caution/hose-clamp", "limits", "limit/barb-stretch-small"),
        "CEL-001",
        "caution_ids",
    ),
    "caution that does not exist": (
        cell("caution_ids", "caution/leak-tset", "limits", "limit/barb-stretch-small"),
        "REF-001",
        "caution_ids",
    ),
    "reference to a row of another table": (cell("family_id", "tube/soft-10x16"), "REF-001", "family_id"),
    "id with two strokes": (cell("id", "tube/soft/10x13"), "SCH-001", "id"),
    "id that ends with a hyphen": (cell("id", "tube/soft-10x13-"), "SCH-001", "id"),
    "id that stands twice": (cell("id", "tube/soft-10x16"), "SCH-001", "id"),
    "inch figure with a decimal comma": (cell("id_in", "0,375", row_id="tube/soft-3-8x5-8"), "CEL-001", "id_in"),
    "inch figure below zero": (cell("id_in", "-3/8", row_id="tube/soft-3-8x5-8"), "CEL-002", NO_COLUMN),
    "half withdrawn": (
        cell("withdrawn_on", "2026-11-26", "wetted_materials", "wetted/block-seal"),
        "ROW-001",
        "withdrawn_reason",
    ),
    "withdrawn before it was checked": (
        cell("withdrawn_on", "2026-01-01", "rules", "rule/brass-zinc-high"),
        "ROW-002",
        "withdrawn_on",
    ),
    "place in the source left empty": (cell("locator", "", "rules", "rule/petg-warm"), "SRC-001", "locator"),
    "potential in millivolts": (
        cell("value", "-900", "material_properties", "property/aluminium-1050-seawater-potential"),
        "MAT-002",
        "value",
    ),
    "density in grams": (cell("unit", "%", "material_properties", "property/abs-density"), "MAT-001", "unit"),
    "temperature below absolute zero": (
        cell("value", "-300", "assumptions", "assumption/coolant-temperature"),
        "UNI-003",
        "value",
    ),
    "tube among fittings": (cell("family_id", "family/fitting"), "FAM-002", "family_id"),
    "name with another size": (cell("designation", "10 x 16 mm"), "TUB-003", "designation"),
    "reason cut off": (cell("reason", "PETG softens", "rules", "rule/petg-warm"), "TXT-001", "reason"),
}


def test_more_than_a_hundred_ways_are_tried() -> None:
    assert len(CELLS) + len(test_spoiled_tables.FORM) + len(test_spoiled_tables.FOLDER) > 150


@pytest.mark.parametrize("name", CELLS)
def test_a_wrong_cell_is_refused_at_line_and_column(spoil: Any, name: str) -> None:
    change, code, column = CELLS[name]
    change(spoil)
    ((table, line),) = spoil.changed_lines()
    found = [(fault.code, fault.file, fault.line, fault.column) for fault in spoil.faults()]
    assert (code, f"{table}.csv", line, column) in found
    assert {found_code for found_code, *_ in found} == {code}
