"""Every way a table has been seen to go wrong as a file: its exact code and place, and never another error."""

from __future__ import annotations

from typing import Any

import pytest
from spoiling import LINE_OF_ROW, ROW, TUBE, beside, directory, line_before, replaced, rewritten, row_written, without

from kb.load import TABLES_FOLDER, load_tables
from kb.store.csv_text import LARGEST_FILE_BYTES
from kb.store.faults import TablesRefusedError


def _line_in_quotes(text: bytes) -> bytes:
    return b"\n".join(b'"' + line + b'"' if line.startswith(ROW) else line for line in text.split(b"\n"))


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
    "larger than any table": (rewritten(lambda text: text + b"\n" * LARGEST_FILE_BYTES), "CSV-001", 0),
    "utf-16 without a mark": (rewritten(lambda text: text.decode().encode("utf-16-le")), "CSV-004", 1),
    "utf-32": (rewritten(lambda text: text.decode().encode("utf-32")), "CSV-003", 1),
    "quotation mark of a western code page": (row_written(b"soft tube", b"\x93soft tube"), "CSV-003", LINE_OF_ROW),
    "letter coded too long": (row_written(b"soft tube", b"s\xc1\xaft tube"), "CSV-003", LINE_OF_ROW),
    "half a letter": (row_written(b"soft tube", b"soft \xed\xa0\x80 tube"), "CSV-003", LINE_OF_ROW),
    "workbook in the place of a table": (rewritten(lambda _: b"PK\x03\x04\x14\x00\x06\x00\xff\xfe"), "CSV-003", 1),
    "upright strokes": (rewritten(lambda text: text.replace(b",", b"|")), "CSV-008", 1),
    "page of the web": (rewritten(lambda _: b"<!doctype html>\n<title>tubes</title>\n"), "CSV-008", 1),
    "remark before the header": (rewritten(lambda text: b"# sizes\n" + text), "CSV-008", 1),
    "separator announced": (rewritten(lambda text: b"sep=,\n" + text), "CSV-008", 1),
    "one header cell too many": (rewritten(lambda text: text.replace(b"\n", b",\n", 1)), "CSV-008", 1),
    "table of another name": (rewritten(lambda _: (TABLES_FOLDER / "ports.csv").read_bytes()), "CSV-008", 1),
    "header again": (rewritten(lambda text: text + text.split(b"\n", 1)[0] + b"\n"), "CEL-001", "below"),
    "end mark of an old system": (rewritten(lambda text: text + b"\x1a"), "CSV-005", "below"),
    "mark of a merge": (line_before(b"<<<<<<< HEAD"), "CSV-010", LINE_OF_ROW),
    "middle of a merge": (line_before(b"======="), "CSV-010", LINE_OF_ROW),
    "whole line in quotes": (rewritten(_line_in_quotes), "CSV-006", LINE_OF_ROW),
    "line of blanks": (line_before(b"   "), "CSV-010", LINE_OF_ROW),
    "two rows on one line": (replaced(b"\n" + ROW, b"," + ROW), "CSV-010", "line above"),
    "quote opened and not closed": (row_written(b",soft tube", b',"soft tube'), "CSV-006", LINE_OF_ROW),
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


@pytest.mark.parametrize("name", FORM)
def test_a_file_of_the_wrong_form_is_refused_at_its_line(spoil: Any, name: str) -> None:
    change, code, where = FORM[name]
    line = spoil.line("tubes", TUBE)
    last = spoil.read("tubes").count(b"\n")
    change(spoil)
    expected = {LINE_OF_ROW: line, "last": last, "row above": line, "below": last + 1, "line above": line - 1}.get(
        where, where
    )
    faults = spoil.faults()
    assert {(fault.file, fault.line, fault.code) for fault in faults} == {("tubes.csv", expected, code)}
    assert all(fault.what and fault.fix for fault in faults)


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
