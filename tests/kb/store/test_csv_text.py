"""Reading the text of one CSV file: what is taken, and where faults are placed."""

from __future__ import annotations

import csv
import io

from hypothesis import given
from hypothesis import strategies as st

from kb.store.csv_text import LARGEST_FILE_BYTES, RawRow, read_rows

COLUMNS = ("id", "title", "note")
CELL = st.text(st.characters(blacklist_categories=["Cs"], blacklist_characters="\r\n\0"), min_size=1, max_size=20)


def read(text: str) -> tuple[list[RawRow], list[tuple[str, int]]]:
    rows, faults = read_rows("things.csv", text.encode(), COLUMNS)
    return rows, [(fault.code, fault.line) for fault in faults]


def test_rows_come_with_the_lines_they_stand_on() -> None:
    rows, faults = read("id,title,note\na,b,c\nd,,\n")
    assert rows == [RawRow(2, ("a", "b", "c")), RawRow(3, ("d", "", ""))]
    assert faults == []


def test_a_header_alone_is_an_empty_table() -> None:
    assert read("id,title,note\n") == ([], [])


def test_quoted_cells_keep_commas_and_quotes() -> None:
    rows, faults = read('id,title,note\na,"b, c","say ""d"""\n')
    assert rows[0].cells == ("a", "b, c", 'say "d"')
    assert faults == []


@given(st.lists(st.tuples(CELL, CELL, CELL), max_size=5))
def test_whatever_a_csv_writer_writes_is_read_back(cells: list[tuple[str, str, str]]) -> None:
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerows([COLUMNS, *cells])
    rows, faults = read(text.getvalue())
    assert [row.cells for row in rows] == cells
    assert faults == []


@given(st.binary(max_size=200))
def test_no_bytes_whatever_end_in_another_error(content: bytes) -> None:
    rows, faults = read_rows("things.csv", content, COLUMNS)
    assert rows == [] or faults == [] or all(len(row.cells) == len(COLUMNS) for row in rows)


def test_all_bad_lines_are_reported_at_once() -> None:
    rows, faults = read("id,title,note\na,b\n\nc,d,e\nf,g,h,i\n")
    assert faults == [("CSV-010", 2), ("CSV-009", 3), ("CSV-010", 5)]
    assert [row.line for row in rows] == [4]


def test_a_row_after_a_line_break_inside_a_cell_keeps_its_line() -> None:
    rows, faults = read('id,title,note\na,"b\nc",d\ne,f,g\n')
    assert faults == [("CSV-011", 2)]
    assert rows == [RawRow(4, ("e", "f", "g"))]


def test_an_open_quote_is_placed_where_its_row_begins() -> None:
    assert read('id,title,note\na,b,c\nd,"e,f\ng,h,i\n')[1] == [("CSV-006", 3)]


def test_under_a_wrong_header_only_the_header_is_reported() -> None:
    assert read("id;title;note\na;b;c\nd;e;f\n") == ([], [("CSV-008", 1)])


def test_the_header_fault_names_what_is_missing_and_what_is_unknown() -> None:
    _, faults = read_rows("things.csv", b"id,name,note\n", COLUMNS)
    assert [fault.what for fault in faults] == ["the header lacks title", "the header has the unknown column name"]


def test_a_quote_broken_in_the_header_is_reported() -> None:
    assert ("CSV-006", 1) in read('"id,title,note\na,b,c\n')[1]


def test_a_file_too_large_is_not_parsed() -> None:
    _, faults = read_rows("things.csv", b"x" * (LARGEST_FILE_BYTES + 1), COLUMNS)
    assert [fault.code for fault in faults] == ["CSV-001"]
