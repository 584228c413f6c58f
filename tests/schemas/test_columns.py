"""Columns and cells: what row classes declare, and what the text of a cell becomes."""

from __future__ import annotations

import dataclasses
import re
from datetime import date
from enum import StrEnum
from typing import Annotated, Any, ClassVar

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schemas.columns.columns import CellError, Column, Field, fields_of, fill_from_inches, kinds_of, read_cell
from schemas.tables import ROW_CLASSES
from schemas.tables.frame import pandera_schema


class Colour(StrEnum):
    RED = "red"
    GREEN = "green"


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Base:
    table: ClassVar[str] = "things"
    note: Annotated[str | None, Column(title="note", description="A note.", example="old")]


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Thing(Base):
    id: Annotated[str, Column(title="id", description="Name.", example="thing/a", pattern="thing/[a-z]+", unique=True)]
    colour: Annotated[Colour, Column(title="colour", description="Colour.", example="red")]
    size_in: Annotated[str | None, Column(title="size in inches", description="Size.", example="3/8", pattern=r"\d/\d")]
    size_mm: Annotated[
        float | None, Column(title="size", description="Size.", example="9.5", unit="mm", inch_column="size_in")
    ]
    count: Annotated[int, Column(title="count", description="How many.", example="3")]
    whole: Annotated[bool, Column(title="whole", description="Whether.", example="yes")]
    made_on: Annotated[date, Column(title="made on", description="When.", example="2026-11-25")]
    friends: Annotated[tuple[str, ...], Column(title="friends", description="Others.", example="thing/b thing/c")]


def field(name: str) -> Field:
    return next(field for field in fields_of(Thing) if field.name == name)


def fault(name: str, text: str) -> CellError:
    with pytest.raises(CellError) as refusal:
        read_cell(field(name), text)
    return refusal.value


def test_own_columns_stand_before_those_of_the_bases() -> None:
    names = [field.name for field in fields_of(Thing)]
    assert names == ["id", "colour", "size_in", "size_mm", "count", "whole", "made_on", "friends", "note"]


def test_kinds_and_choices_are_read_off_the_annotations() -> None:
    assert (field("size_mm").kind, field("size_mm").nullable) == (float, True)
    assert (field("friends").kind, field("friends").nullable) == (tuple, False)
    assert field("colour").choices == ("red", "green")
    assert field("whole").choices == ("yes", "no")
    assert field("id").choices == ()


def test_a_field_without_column_is_refused() -> None:
    class Careless:
        size: float

    Careless.__annotations__ = {"size": float}
    with pytest.raises(TypeError, match="size"):
        fields_of(Careless)


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("id", "thing/a", "thing/a"),
        ("colour", "green", Colour.GREEN),
        ("size_mm", "9.525", 9.525),
        ("size_mm", "-0", 0.0),
        ("size_mm", "", None),
        ("count", "12", 12),
        ("count", "-3", -3),
        ("whole", "yes", True),
        ("whole", "no", False),
        ("made_on", "2026-11-25", date(2026, 11, 25)),
        ("friends", "thing/b thing/c", ("thing/b", "thing/c")),
        ("friends", "", ()),
        ("note", "µm, 45° and “quotes” – in words", "µm, 45° and “quotes” – in words"),
        ("note", "2000-01-01", "2000-01-01"),
        ("note", "=", "="),
        ("note", "#1 of 3", "#1 of 3"),
        ("note", "may 12 mm be enough", "may 12 mm be enough"),
    ],
)
def test_sound_text_becomes_a_value(name: str, text: str, value: Any) -> None:
    assert read_cell(field(name), text) == value


def test_minus_zero_is_zero() -> None:
    assert str(read_cell(field("size_mm"), "-0.0")) == "0.0"


@pytest.mark.parametrize(
    ("name", "text", "what", "fix"),
    [
        ("size_mm", "9,525", "decimal comma", "write 9.525"),
        ("size_mm", "1/4", "plain decimal number", "belongs in the column size_in"),
        ("size_mm", "04-Jan", "date that a spreadsheet made", "perhaps 1/4"),
        ("size_mm", "4. Jan 2026", "date that a spreadsheet made", "perhaps 1/4"),
        ("size_mm", "2026-01-04", "date that a spreadsheet made", "perhaps 1/4"),
        ("size_mm", "2026-01-04 00:00:00", "date that a spreadsheet made", "perhaps 1/4"),
        ("size_mm", "01/04/2026", "date that a spreadsheet made", "perhaps 1/4"),
        ("size_in", "Oct-13", "date that a spreadsheet made", "perhaps 10/13"),
        ("note", "Oct-13", "date that a spreadsheet made", "perhaps 10/13"),
        ("note", "January 4", "date that a spreadsheet made", "perhaps 1/4"),
        ("size_in", "⅜", "typographic", "write 3/8"),
        ("size_in", "3⁄8", "typographic", "write 3/8"),
        ("size_in", "3/8”", "typographic", "write 3/8"),
        ("size_mm", "−9.5", "typographic", "write -9.5"),
        ("size_mm", "9.5E+00", "scientific form", "write all digits"),
        ("size_mm", "=9.5*2", "spreadsheet formula", "write its result"),
        ("note", "=A1", "spreadsheet formula", "write its result"),
        ("note", "#NAME?", "error value", "write the value itself"),
        ("note", "#DIV/0!", "error value", "write the value itself"),
        ("size_mm", "9\u2009500", "thin space", "write a plain blank or none"),
        ("note", "a\u00a0b", "no-break space", "write a plain blank or none"),
        ("id", "thing/\u200ba", "invisible character (zero width space)", "delete that character"),
        ("note", "a\u202eb", "invisible character", "delete that character"),
        ("note", "a\tb", "invisible character (u+0009)", "delete that character"),
        ("size_mm", "9.5mm", "plain decimal number", "already says mm"),
        ("count", "1.0", "whole number", "whole number such as 3"),
        ("count", "3E+00", "scientific form", "write all digits"),
        ("whole", "TRUE", "neither yes nor no", "write yes"),
        ("whole", "0", "neither yes nor no", "write no"),
        ("whole", "yess", "neither yes nor no", "write yes, or another one of: no"),
        ("colour", "Green", "not one of the allowed words", "write green"),
        ("colour", "gren", "not one of the allowed words", "write green"),
        ("made_on", "25.11.2026", "not a calendar date", "year-month-day"),
        ("made_on", "2026-13-01", "not a calendar date", "year-month-day"),
        ("friends", "thing/b,thing/c", "commas or semicolons", "one blank"),
        ("friends", "thing/b  thing/c", "a blank too many", "one blank"),
        ("friends", "thing/b thing/b", "twice", "once"),
        ("note", " old", "a blank at its start or end", "write 'old'"),
        ("count", "", "is empty", "such as 3"),
    ],
)
def test_damage_is_recognised_by_name(name: str, text: str, what: str, fix: str) -> None:
    error = fault(name, text)
    assert what in error.what
    assert fix in error.fix


@pytest.mark.parametrize("name", ROW_CLASSES)
def test_every_example_is_a_sound_cell_of_its_column(name: str) -> None:
    for declared in fields_of(ROW_CLASSES[name]):
        value = read_cell(declared, declared.column.example)
        assert value is not None, declared.name
        if declared.column.pattern:
            assert re.fullmatch(declared.column.pattern, declared.column.example), declared.name
        if declared.kind in (float, int):
            assert _lies_within(declared.column, value), declared.name


def _lies_within(column: Column, value: float) -> bool:
    lower = (column.at_least is None or value >= column.at_least) and (column.above is None or value > column.above)
    upper = (column.at_most is None or value <= column.at_most) and (column.below is None or value < column.below)
    return lower and upper


@pytest.mark.parametrize("name", ROW_CLASSES)
def test_every_column_says_what_it_is(name: str) -> None:
    for declared in fields_of(ROW_CLASSES[name]):
        assert declared.column.title, declared.name
        assert declared.column.description.endswith("."), declared.name
        assert set(declared.column.refers_to) <= set(ROW_CLASSES), declared.name


@pytest.mark.parametrize("name", ROW_CLASSES)
def test_the_unit_in_a_name_is_the_unit_of_the_column(name: str) -> None:
    suffixes = {"mm": "mm", "in": "in", "deg": "deg"}
    for declared in fields_of(ROW_CLASSES[name]):
        if declared.name == "address_seen_in":  # the word, not the inch
            continue
        unit = suffixes.get(declared.name.rpartition("_")[2], declared.column.unit)
        assert declared.column.unit == unit, declared.name


@pytest.mark.parametrize("name", ROW_CLASSES)
def test_every_inch_column_stands_before_its_millimetres(name: str) -> None:
    names = [declared.name for declared in fields_of(ROW_CLASSES[name])]
    for declared in fields_of(ROW_CLASSES[name]):
        if declared.column.inch_column:
            assert names.index(declared.column.inch_column) == names.index(declared.name) - 1


@pytest.mark.parametrize("name", ROW_CLASSES)
def test_every_table_begins_with_an_id_of_its_own(name: str) -> None:
    first = fields_of(ROW_CLASSES[name])[0]
    assert first.name == "id"
    assert first.column.unique


def test_no_two_tables_share_the_prefix_of_their_ids() -> None:
    prefixes = [fields_of(row_class)[0].column.pattern.partition("/")[0] for row_class in ROW_CLASSES.values()]
    assert len(set(prefixes)) == len(prefixes)


@pytest.mark.parametrize("name", ROW_CLASSES)
def test_the_schema_of_a_table_has_its_columns_in_order(name: str) -> None:
    schema = pandera_schema(ROW_CLASSES[name])
    declared = fields_of(ROW_CLASSES[name])
    assert list(schema.columns) == [field.name for field in declared]
    assert [schema.columns[field.name].nullable for field in declared] == [field.nullable for field in declared]


@given(st.text(max_size=30))
def test_no_text_whatever_ends_in_another_error(text: str) -> None:
    for declared in fields_of(Thing):
        try:
            read_cell(declared, text)
        except CellError as error:
            assert error.what
            assert error.fix


@given(st.floats(0, 1e6, allow_nan=False))
def test_a_number_written_plainly_is_read_back(number: float) -> None:
    text = f"{number:.6f}"
    assert read_cell(field("size_mm"), text) == float(text)


def test_millimetres_are_filled_from_inches_only_where_empty() -> None:
    values = {"size_in": "3/8", "size_mm": None}
    fill_from_inches(Thing, values)
    assert values["size_mm"] == 9.525
    values = {"size_in": None, "size_mm": 7.0}
    fill_from_inches(Thing, values)
    assert values["size_mm"] == 7.0


@pytest.mark.parametrize("row_class", [Thing, *ROW_CLASSES.values()])
def test_the_kinds_of_columns_are_those_of_their_declarations(row_class: type[Any]) -> None:
    assert list(kinds_of(row_class).items()) == [(field.name, field.kind) for field in fields_of(row_class)]
