"""Ids that we show exist: whoever copies one from a page, a help text or an error gets an answer."""

from __future__ import annotations

import difflib
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
import pytest

from api.cli.main import wetted
from api.http.app import create_app
from api.http.openapi.openapi import describe
from kb import KnowledgeBase
from kb.load import BuiltTables, load_tables
from kb.store.examples import EXAMPLES_FOLDER
from schemas.columns.columns import fields_of
from schemas.tables import ROW_CLASSES

ROOT = Path(__file__).resolve().parents[2]
ID = re.compile(r"(?<![\w/.#:@-])([a-z]+(?:-[a-z]+)*)/[a-z0-9]+(?:[-.][a-z0-9]+)*(?![\w/*]|-?\.\.\.)")
OLD = {"renamed_ids": {"radiator/120x30-middle"}}  # shows what an id of that table is
LIKE_A_KIND = 0.8  # a first word so near to a kind is one misspelt
INVENTED = {
    "README.md": {"thread/g-1-5"},  # shows what becomes of an id that does not exist
    "DEVELOPERS.md": {  # rows that its examples add and take back
        "tube/soft-9x13",
        "alias/9-13",
        "fitting/barb-9-g-1-4",
        "end/barb-9-g-1-4-a",
        "end/barb-9-g-1-4-b",
        "plastic/polybutene",
        "rule/gold-in-acetone",
        "source/handbook-invented-this-page",
        "dispute/gold-in-acetone",
    },
}


@pytest.fixture(scope="module")
def tables() -> BuiltTables:
    return load_tables()


def texts_of(value: Any) -> Iterator[str]:
    """Yield every text in a JSON document."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for one in value.values() if isinstance(value, dict) else value:
            yield from texts_of(one)


def helps(command: click.Command, name: str = "wetted") -> Iterator[str]:
    with click.Context(command, info_name=name) as context:
        yield " ".join(command.get_help(context).split())
    for sub_name, sub in getattr(command, "commands", {}).items():
        yield from helps(sub, sub_name)


def unknown_ids(text: str, tables: BuiltTables) -> set[str]:
    """Return what looks like the id of a row, and is none; the kind may be misspelt, too."""
    ids = {row.id for rows in tables.rows.values() for row in rows}
    kinds = {one.partition("/")[0] for one in ids}
    found = {match[0]: match[1] for match in ID.finditer(text)}
    near = {word for word in found.values() if difflib.get_close_matches(word, kinds, 1, LIKE_A_KIND)}
    return {one for one, word in found.items() if word in near and one not in ids and not (ROOT / one).exists()}


def test_an_unknown_id_would_be_found(tables: BuiltTables) -> None:
    text = 'say "tube/soft-10x16", `tube/soft-10x17`, fiting/barb-10-g-1-4 or text/csv in `kb/tables` at 5 l/min.'
    assert unknown_ids(text, tables) == {"tube/soft-10x17", "fiting/barb-10-g-1-4"}


def test_ids_in_the_description_of_the_service_exist(base: KnowledgeBase, tables: BuiltTables) -> None:
    described = describe(create_app(base), base)
    shown = "\n".join(texts_of(described))
    assert "tube/soft-10x16" in shown
    assert unknown_ids(shown, tables) == set()


@pytest.mark.parametrize("page", INVENTED)
def test_ids_in_the_pages_exist_or_are_invented_on_purpose(page: str, tables: BuiltTables) -> None:
    assert unknown_ids((ROOT / page).read_text(encoding="utf-8"), tables) == INVENTED[page]


def test_ids_in_help_texts_exist(tables: BuiltTables) -> None:
    assert unknown_ids("\n".join(helps(wetted)), tables) == set()


@pytest.mark.parametrize("path", sorted(EXAMPLES_FOLDER.glob("*.json")), ids=lambda path: path.name)
def test_ids_in_the_demo_exist(path: Path, tables: BuiltTables) -> None:
    assert unknown_ids("\n".join(texts_of(json.loads(path.read_text(encoding="utf-8")))), tables) == set()


@pytest.mark.parametrize("table", ROW_CLASSES)
def test_ids_in_examples_of_columns_exist(table: str, tables: BuiltTables) -> None:
    shown = [f"{field.column.example} {field.column.description}" for field in fields_of(ROW_CLASSES[table])]
    assert unknown_ids("\n".join(shown), tables) == OLD.get(table, set())
