"""Tidying repairs the form of tables and never a value."""

from __future__ import annotations

import csv
import io
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kb.curation.rows.tidy import tidy, tidy_cell
from kb.load import TABLES_FOLDER
from kb.store.typed_rows import read_tables
from schemas.columns.columns import CellError, Field, fields_of, read_cell
from schemas.tables import ROW_CLASSES
from schemas.tables.sources import Source
from schemas.tables.tubes import Tube

TABLES = sorted(TABLES_FOLDER.glob("*.csv"))
RESERVOIRS = (TABLES_FOLDER / "reservoirs.csv").read_bytes()
FIELDS = {field.name: field for row_class in (Tube, Source) for field in fields_of(row_class)}
FAST = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def field(name: str) -> Field:
    return FIELDS[name]


def cells(content: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(content.decode(), newline="")))


def written(rows: list[list[str]], end: str = "\n", quoting: int = csv.QUOTE_MINIMAL) -> bytes:
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator=end, quoting=quoting).writerows(rows)  # type: ignore[arg-type]
    return text.getvalue().encode()


def typed(name: str, content: bytes) -> tuple[Any, ...]:
    tables, faults = read_tables({f"{name}.csv": content})
    assert {fault.code for fault in faults} <= {"TAB-002"}
    return tables.rows[name]


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.stem)
def test_todays_tables_are_tidy_byte_for_byte(path: Path) -> None:
    content = path.read_bytes()
    made = tidy(path.name, content)
    assert made.content == content
    assert (made.repairs, made.left) == ((), ())


@pytest.mark.parametrize(
    ("name", "text", "made"),
    [
        ("od_mm", "1.50", "1.5"),
        ("od_mm", "3.0", "3"),
        ("od_mm", "+3", "3"),
        ("od_mm", " 5 ", "5"),
        ("od_mm", "\u00a05", "5"),
        ("od_mm", "013", "13"),
        ("od_mm", ".5", "0.5"),
        ("od_mm", "5.", "5"),
        ("od_mm", "1.3e1", "13"),
        ("od_mm", "1E-3", "0.001"),
        ("od_mm", "-0", "0"),
        ("od_mm", "0.10000000000000000000000000000000000000000001", "0.10000000000000000000000000000000000000000001"),
        ("rank", "1.0", "1"),
        ("rank", "+1", "1"),
        ("checked_on", "2026-1-5", "2026-01-05"),
        ("checked_on", "2026/01/05", "2026-01-05"),
        ("checked_on", "2026-01-05 00:00:00", "2026-01-05"),
        ("nominal_means", " both", "both"),
        ("title", " soft tube ", "soft tube"),
        ("id_in", " 3/8 ", "3/8"),
        ("note", "   ", ""),
    ],
)
def test_a_cell_is_brought_into_the_style_of_the_house(name: str, text: str, made: str) -> None:
    assert tidy_cell(field(name), text) == made


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("od_mm", "13,5"),
        ("od_mm", "1,234.5"),
        ("od_mm", "13 mm"),
        ("od_mm", "1/2"),
        ("od_mm", "−13"),
        ("od_mm", "١٣"),
        ("od_mm", "1e400"),
        ("od_mm", "nan"),
        ("rank", "1.5"),
        ("rank", "9" * 5000),
        ("checked_on", "05.01.2026"),
        ("checked_on", "2026-13-01"),
        ("checked_on", "26-01-05"),
        ("nominal_means", "Both"),
        ("nominal_means", "bоth"),
        ("id_in", "0.540"),
        ("title", "Oct-13"),
        ("title", " =A1"),
        ("title", "soft  tube"),
        ("title", ""),
    ],
)
def test_what_could_mean_two_things_is_left(name: str, text: str) -> None:
    assert tidy_cell(field(name), text) == text


@pytest.mark.parametrize(
    ("spoiled", "repairs"),
    [
        (b"\xef\xbb\xbf" + RESERVOIRS, ("byte-order mark",)),
        (RESERVOIRS.replace(b"\n", b"\r\n"), ("line ends",)),
        (RESERVOIRS.replace(b"\n", b"\r"), ("line ends",)),
        (RESERVOIRS + b"\n\n", ("blank lines",)),
        (RESERVOIRS + b"," * (RESERVOIRS.split(b"\n")[0].count(b",")) + b"\n", ("blank lines",)),
        (written(cells(RESERVOIRS), quoting=csv.QUOTE_ALL), ("quotes",)),
        (written([row[::-1] for row in cells(RESERVOIRS)]), ("header",)),
        (RESERVOIRS.replace(b"family_id,", b" family_id ,", 1), ("header",)),
        (written([*cells(RESERVOIRS)[:1], *cells(RESERVOIRS)[:0:-1]]), ("order of rows",)),
        (RESERVOIRS.replace(b",300,40,", b",300.0,+40,"), ("2 cells",)),
    ],
)
def test_the_form_of_a_file_is_repaired(spoiled: bytes, repairs: tuple[str, ...]) -> None:
    made = tidy("reservoirs.csv", spoiled)
    assert made.content == RESERVOIRS
    assert (made.repairs, made.left) == (repairs, ())


@pytest.mark.parametrize(
    ("spoiled", "code"),
    [
        (RESERVOIRS[:-1], "CSV-005"),
        (RESERVOIRS.replace(b"ml", b"\xb5l", 1), "CSV-003"),
        (RESERVOIRS.decode().encode("utf-16"), "CSV-003"),
        (RESERVOIRS.replace(b"judgement", b"judge\rment", 1), "CSV-004"),
        (RESERVOIRS.replace(b"judgement", b"judge\0ment", 1), "CSV-004"),
        (RESERVOIRS.replace(b"volume_ml", b"volume_l", 1), "CSV-008"),
        (RESERVOIRS.replace(b"volume_ml", b"air_ml", 1), "CSV-008"),
        (RESERVOIRS.replace(b",", b";"), "CSV-008"),
        (RESERVOIRS.replace(b",300,40,", b",300,40,,", 1), "CSV-010"),
        (RESERVOIRS.replace(b"300 ml", b"300\nml", 1), "CSV-011"),
        (RESERVOIRS.replace(b'"reservoir', b'"reser"voir', 1), "CSV-006"),
        (b"", "CSV-007"),
    ],
)
def test_a_file_that_cannot_be_read_for_sure_is_left_whole(spoiled: bytes, code: str) -> None:
    made = tidy("reservoirs.csv", spoiled)
    assert (made.content, made.repairs) == (spoiled, ())
    assert code in {fault.code for fault in made.left}


NUMBERS = st.one_of(
    st.decimals(min_value=-5000, max_value=5000, places=4).map(str),
    st.floats(allow_nan=False, allow_infinity=False).map(repr),
    st.text("0123456789.+-eE ", max_size=12),
    st.text(max_size=5),
)
DAYS = st.dates().map(lambda day: f"{day.year:04}/{day.month}/{day.day}") | st.dates().map(str) | st.text(max_size=4)


@FAST
@given(name=st.sampled_from(["od_mm", "rank"]), text=NUMBERS)
def test_a_number_keeps_its_value_and_needs_no_second_repair(name: str, text: str) -> None:
    _assert_same_value(field(name), text, float)


@FAST
@given(text=DAYS)
def test_a_day_keeps_its_value_and_needs_no_second_repair(text: str) -> None:
    _assert_same_value(field("checked_on"), text, None)


@FAST
@given(name=st.sampled_from(["title", "note", "id_in", "nominal_means", "id"]), text=st.text(max_size=20))
def test_words_lose_nothing_but_outer_blanks(name: str, text: str) -> None:
    assert tidy_cell(field(name), text) in (text, text.strip())
    _assert_same_value(field(name), text, None)


def _assert_same_value(of: Field, text: str, meaning: Callable[[str], Any] | None) -> None:
    made = tidy_cell(of, text)
    assert tidy_cell(of, made) == made
    try:
        value = read_cell(of, text)
    except CellError:
        if made != text and meaning is not None and made:
            assert read_cell(of, made) == meaning(text)
        return
    assert read_cell(of, made) == value


@settings(max_examples=25, deadline=None)
@given(
    chance=st.randoms(use_true_random=False),
    end=st.sampled_from(["\n", "\r\n"]),
    mark=st.booleans(),
    quoting=st.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]),
)
def test_a_disordered_table_is_read_as_it_was_and_comes_back_byte_for_byte(
    chance: random.Random, end: str, mark: bool, quoting: int
) -> None:
    header, *rows = cells(RESERVOIRS)
    columns = chance.sample(range(len(header)), len(header))
    chance.shuffle(rows)
    disordered = [[_untidy(chance, row[place]) for place in columns] for row in rows]
    spoiled = written([[header[place] for place in columns], *disordered], end, quoting)
    made = tidy("reservoirs.csv", b"\xef\xbb\xbf" * mark + spoiled)
    assert made.content == RESERVOIRS
    assert tidy("reservoirs.csv", made.content).repairs == ()
    assert typed("reservoirs", made.content) == typed("reservoirs", RESERVOIRS)


def _untidy(chance: random.Random, text: str) -> str:
    if text.isdigit():
        return chance.choice([text, f"+{text}", f"{text}.0", f"0{text}", f" {text}"])
    return chance.choice([text, f" {text}", f"{text} "])


@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_typed_rows_are_the_same_before_and_after(data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(sorted(ROW_CLASSES)))
    row_class = ROW_CLASSES[name]
    header, *rows = cells((TABLES_FOLDER / f"{name}.csv").read_bytes())
    some = [data.draw(st.sampled_from(rows)) for _ in range(3)]
    untidy = [[text + data.draw(st.sampled_from(["", "", " ", ".0", "0"])) for text in row] for row in some]
    made = cells(tidy(f"{name}.csv", written([header, *untidy])).content)[1:]
    order = sorted(range(3), key=lambda place: tidy_cell(fields_of(row_class)[0], untidy[place][0]))
    for place, after in zip(order, made, strict=True):
        for column, old, new in zip(fields_of(row_class), untidy[place], after, strict=True):
            assert _value(column, new) == (_value(column, old) or _value(column, new))


def _value(of: Field, text: str) -> tuple[Any] | None:
    try:
        return (read_cell(of, text),)
    except CellError:
        return None
