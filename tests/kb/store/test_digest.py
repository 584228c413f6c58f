"""The fingerprint of the tables: it follows the facts, not their formatting."""

from __future__ import annotations

import dataclasses
import random
from enum import Enum
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.load import TABLES_FOLDER
from kb.store.digest import tables_digest
from kb.store.typed_rows import read_tables
from schemas.columns.columns import fields_of
from schemas.tables import ROW_CLASSES


def files_of_the_project() -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in TABLES_FOLDER.glob("*.csv")}


@pytest.fixture(scope="module")
def rows() -> dict[str, tuple[Any, ...]]:
    tables, faults = read_tables(files_of_the_project())
    assert not faults
    return dict(tables.rows)


def test_the_order_of_rows_does_not_matter(rows: dict[str, tuple[Any, ...]]) -> None:
    shuffled = {name: tuple(random.Random(7).sample(table, len(table))) for name, table in rows.items()}
    assert tables_digest(shuffled) == tables_digest(rows)


@pytest.mark.parametrize(("one", "other"), [("13", "13.0"), ("13.5", "13.500"), ("0", "-0"), ("0", "0.00")])
def test_the_style_of_a_number_does_not_matter(one: str, other: str) -> None:
    digests = set()
    for text in (one, other):
        files = files_of_the_project()
        name = "limits.csv" if float(text) == 0 else "tubes.csv"
        old = b",at-least,0,%,error," if float(text) == 0 else b",,10,,13,,,"
        new = old.replace(b"0,%" if float(text) == 0 else b"13", text.encode() + (b",%" if float(text) == 0 else b""))
        assert old in files[name]
        files[name] = files[name].replace(old, new, 1)
        tables, faults = read_tables(files)
        assert not faults
        digests.add(tables_digest(tables.rows))
    assert len(digests) == 1


def test_needless_quotes_do_not_matter(rows: dict[str, tuple[Any, ...]]) -> None:
    files = files_of_the_project()
    files["tubes.csv"] = files["tubes.csv"].replace(b"\ntube/soft-10x13,", b'\n"tube/soft-10x13",', 1)
    tables, faults = read_tables(files)
    assert not faults
    assert tables_digest(tables.rows) == tables_digest(rows)


@settings(max_examples=20, deadline=None)
@given(data=st.data())
def test_any_changed_cell_changes_it(rows: dict[str, tuple[Any, ...]], data: st.DataObject) -> None:
    name = data.draw(st.sampled_from([name for name, table in sorted(rows.items()) if table]))
    place = data.draw(st.integers(0, len(rows[name]) - 1))
    field = data.draw(st.sampled_from(fields_of(ROW_CLASSES[name])))
    row = rows[name][place]
    old = getattr(row, field.name)
    new = data.draw(_other_value(field.kind, old))
    changed = (*rows[name][:place], dataclasses.replace(row, **{field.name: new}), *rows[name][place + 1 :])
    assert tables_digest({**rows, name: changed}) != tables_digest(rows)


def _other_value(kind: type, old: Any) -> st.SearchStrategy[Any]:
    if issubclass(kind, Enum):
        values: st.SearchStrategy[Any] = st.sampled_from(list(kind))
    elif kind is tuple:
        values = st.lists(st.text(max_size=5), max_size=3).map(tuple)
    elif kind is float:
        values = st.floats(allow_nan=False, allow_infinity=False)
    else:
        values = st.from_type(kind)
    return values.filter(lambda value: value != old)


@pytest.mark.parametrize("name", ROW_CLASSES)
def test_a_row_taken_away_changes_it(rows: dict[str, tuple[Any, ...]], name: str) -> None:
    if rows[name]:
        assert tables_digest({**rows, name: rows[name][1:]}) != tables_digest(rows)


def test_text_moved_into_the_next_column_changes_it(rows: dict[str, tuple[Any, ...]]) -> None:
    first = rows["families"][0]
    moved = dataclasses.replace(first, title=first.description, description=first.title)
    assert tables_digest({**rows, "families": (moved, *rows["families"][1:])}) != tables_digest(rows)
