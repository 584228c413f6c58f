"""Every way a folder of tables has been seen to go wrong: its exact code and place, and never another error."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from kb.faults import TablesRefusedError
from kb.store import load_tables

Spoil = Callable[[Any], None]
TUBE = "tube/soft-10x13"
NO_COLUMN = ""


def cell(column: str, text: str, table: str = "tubes", row_id: str = TUBE) -> Spoil:
    """Overwrite one cell, by default of a soft tube."""
    return lambda spoil: spoil.set(table, row_id, **{column: text})


def replaced(old: bytes, new: bytes, table: str = "tubes") -> Spoil:
    """Replace the first occurrence of some bytes."""

    def change(spoil: Any) -> None:
        content = spoil.read(table)
        assert old in content
        spoil.write(table, content.replace(old, new, 1))

    return change


def rewritten(change: Callable[[bytes], bytes], table: str = "tubes") -> Spoil:
    """Rewrite a whole file."""
    return lambda spoil: spoil.write(table, change(spoil.read(table)))


def without(name: str) -> Spoil:
    """Delete a file of the folder."""
    return lambda spoil: (spoil.folder / name).unlink()


def beside(name: str, content: bytes) -> Spoil:
    """Put a file into the folder, or over one."""
    return lambda spoil: (spoil.folder / name).write_bytes(content)


def directory(name: str) -> Spoil:
    """Put a folder in the place of a file."""

    def change(spoil: Any) -> None:
        (spoil.folder / name).unlink()
        (spoil.folder / name).mkdir()

    return change


ROW = b"tube/soft-10x13,"
LINE_OF_ROW = -1

FORM = {
    "byte-order mark": (rewritten(lambda text: b"\xef\xbb\xbf" + text), "CSV-002", 1),
    "utf-16": (rewritten(lambda text: text.decode().encode("utf-16")), "CSV-003", 1),
    "latin-1 letter": (replaced(ROW, b"tube/soft-10x13\xe9,"), "CSV-003", LINE_OF_ROW),
    "windows line ends": (rewritten(lambda text: text.replace(b"\n", b"\r\n")), "CSV-004", 1),
    "old macintosh line ends": (rewritten(lambda text: text.replace(b"\n", b"\r")), "CSV-004", 1),
    "one stray carriage return": (replaced(ROW, b"tube/soft\r-10x13,"), "CSV-004", LINE_OF_ROW),
    "NUL character": (replaced(ROW, b"tube/soft\0-10x13,"), "CSV-004", LINE_OF_ROW),
    "last line cut off": (rewritten(lambda text: text[:-1]), "CSV-005", "last"),
    "file cut off in the middle of a line": (rewritten(lambda text: text[:-30]), "CSV-005", "last"),
    "quote never closed": (replaced(ROW, b'"tube/soft-10x13,'), "CSV-006", LINE_OF_ROW),
    "text after a closing quote": (replaced(ROW, b'"tube/soft"-10x13,'), "CSV-006", LINE_OF_ROW),
    "empty file": (rewritten(lambda _: b""), "CSV-007", 1),
    "semicolons": (rewritten(lambda text: text.replace(b",", b";")), "CSV-008", 1),
    "tabs": (rewritten(lambda text: text.replace(b",", b"\t")), "CSV-008", 1),
    "blank first line": (rewritten(lambda text: b"\n" + text), "CSV-008", 1),
    "header missing": (rewritten(lambda text: text.split(b"\n", 1)[1]), "CSV-008", 1),
    "column missing": (replaced(b"id,family_id,title,", b"id,family_id,"), "CSV-008", 1),
    "column unknown": (replaced(b"od_mm", b"outer_mm"), "CSV-008", 1),
    "column twice": (replaced(b"od_mm", b"id_mm"), "CSV-008", 1),
    "columns exchanged": (replaced(b"family_id,title", b"title,family_id"), "CSV-008", 1),
    "header in capitals": (replaced(b"family_id", b"FAMILY_ID"), "CSV-008", 1),
    "blank in the header": (replaced(b"family_id", b" family_id"), "CSV-008", 1),
    "blank line": (replaced(ROW, b"\n" + ROW), "CSV-009", "row above"),
    "line of commas alone": (replaced(ROW, b"," * 18 + b"\n" + ROW), "CSV-009", "row above"),
    "one cell too many": (replaced(ROW, ROW + b","), "CSV-010", LINE_OF_ROW),
    "one cell too few": (replaced(ROW, b"tube/soft-10x13"), "CSV-010", LINE_OF_ROW),
    "comma in an unquoted cell": (replaced(b"soft tube 10 x 13 mm", b"soft tube 10, x 13 mm"), "CSV-010", LINE_OF_ROW),
    "line break inside a cell": (replaced(b"soft tube 10 x 13 mm", b'"soft tube\n10 x 13 mm"'), "CSV-011", LINE_OF_ROW),
}

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
}

FOLDER = {
    "table missing": (without("tubes.csv"), "TAB-002", "tubes.csv", 0),
    "table that is a folder": (directory("tubes.csv"), "TAB-002", "tubes.csv", 0),
    "table nobody knows": (beside("hoses.csv", b"id\n"), "TAB-001", "hoses.csv", 0),
    "table name in capitals": (beside("TUBES.CSV", b"id\n"), "TAB-001", "TUBES.CSV", 0),
    "table name misspelt": (beside("tube.csv", b"id\n"), "TAB-001", "tube.csv", 0),
    "version missing": (without("VERSION"), "TAB-004", "VERSION", 0),
    "version empty": (beside("VERSION", b""), "TAB-005", "VERSION", 1),
    "version not a version": (beside("VERSION", b"latest\n"), "TAB-005", "VERSION", 1),
    "version of two lines": (beside("VERSION", b"2026.11.0\n2026.11.1\n"), "TAB-005", "VERSION", 1),
    "version in latin-1": (beside("VERSION", b"2026.11.\xe9\n"), "TAB-005", "VERSION", 1),
}


def test_enough_ways_are_tried() -> None:
    assert len(FORM) + len(CELLS) + len(FOLDER) >= 60


@pytest.mark.parametrize("name", FORM)
def test_a_file_of_the_wrong_form_is_refused_at_its_line(spoil: Any, name: str) -> None:
    change, code, where = FORM[name]
    line = spoil.line("tubes", TUBE)
    last = spoil.read("tubes").count(b"\n")
    change(spoil)
    expected = {LINE_OF_ROW: line, "last": last, "row above": line}.get(where, where)
    faults = spoil.faults()
    assert {(fault.file, fault.line, fault.code) for fault in faults} == {("tubes.csv", expected, code)}
    assert all(fault.what and fault.fix for fault in faults)


@pytest.mark.parametrize("name", CELLS)
def test_a_wrong_cell_is_refused_at_line_and_column(spoil: Any, name: str) -> None:
    change, code, column = CELLS[name]
    before = {table: spoil.read(table).split(b"\n") for table in ("tubes", "sources", "fittings", "limits")}
    before |= {table: spoil.read(table).split(b"\n") for table in ("families", "quantities")}
    change(spoil)
    ((table, line),) = [
        (table, number)
        for table, lines in before.items()
        for number, (old, new) in enumerate(zip(lines, spoil.read(table).split(b"\n"), strict=True), 1)
        if old != new
    ]
    found = [(fault.code, fault.file, fault.line, fault.column) for fault in spoil.faults()]
    assert (code, f"{table}.csv", line, column) in found
    assert {found_code for found_code, *_ in found} == {code}


@pytest.mark.parametrize("name", FOLDER)
def test_a_folder_with_wrong_files_is_refused_by_name(spoil: Any, name: str) -> None:
    change, code, file, line = FOLDER[name]
    change(spoil)
    assert [(fault.code, fault.file, fault.line) for fault in spoil.faults_of_folder()] == [(code, file, line)]


@pytest.mark.parametrize("name", ["semicolons", "line break inside a cell", "quote never closed"])
def test_a_spoiled_folder_is_never_loaded(spoil: Any, name: str) -> None:
    FORM[name][0](spoil)
    with pytest.raises(TablesRefusedError) as refusal:
        load_tables(spoil.folder, cache=spoil.folder.parent / "cache")
    assert {fault.code for fault in refusal.value.faults} == {FORM[name][1]}
