"""Asking a curator for a row, column by column, in the words of the columns.

Owns: questions and answers on the terminal. Does not own: what a row needs or what can be proposed
(`kb/curation/rows/`). Questions go to standard error, so that standard output holds the result alone.
"""

from __future__ import annotations

import re
from collections.abc import Sequence, Set
from copy import deepcopy
from datetime import date
from string import ascii_lowercase

import click

from kb.curation.rows.kinds import companions_of
from kb.curation.rows.new_row import Draft, alias_draft, demand, fill, is_needed
from kb.curation.rows.proposals import nearest_rows, propose_words
from kb.store.typed_rows import Tables
from schemas.columns.columns import CellError, Field, read_cell
from schemas.tables.sources import Source

NEW = "new"
NOTHING = "-"
_INCHES = re.compile(r"(.*\d) *(?:in|inch|inches|\")", re.ASCII)
_FOLLOWING = frozenset({"checked_on", "checked_by", "how_seen", "confirmed_by"})
_SPOKEN_OF_BY_OTHERS = ("aliases", "disputes")  # aliases are asked for by their words, disputes are rare


def ask_rows(drafts: list[Draft], tables: Tables, today: date) -> None:
    """Ask for everything that is still open, in place; rows that go with the first are offered.

    Args:
        drafts: the row itself first; a new source and rows that go with it are added.
        tables: the tables as they are.
        today: day on which the row is held against its source.
    """
    for draft in list(drafts):
        _ask_row(draft, drafts, tables, today)
    main = drafts[0]
    for companion in companions_of(main.table):
        if companion.table in _SPOKEN_OF_BY_OTHERS or any(draft.table == companion.table for draft in drafts):
            continue
        labels = ascii_lowercase if companion.word == "end" else [str(number) for number in range(1, 100)]
        for label in labels:
            is_due = companion.word == "end" and label == "a"
            if not is_due and not click.confirm(f"Add {companion.word} {label}?", default=False, err=True):
                break
            draft = Draft(companion.table, f"{companion.word}-{label}")
            drafts.append(draft)
            _ask_row(draft, drafts, tables, today)
    _ask_alias(drafts)


def ask_again(drafts: Sequence[Draft], ids: Set[str], tables: Tables) -> bool:
    """Ask again for all cells of rows that were refused, in place.

    Args:
        drafts: the rows.
        ids: ids of those that were refused.
        tables: the tables as they are.

    Returns:
        Whether any of the rows is among them.
    """
    refused = [draft for draft in drafts if draft.cells.get("id", "") in ids]
    for draft in refused:
        click.echo(f"-- {draft.name or draft.cells['id']} again; Enter keeps a cell, a dash empties it --", err=True)
        for column in draft.columns():
            if column.name not in _never_asked(draft) and not _is_inches(draft, column):
                _answer(draft, column, _ask(draft, column, _current(draft, column), tables))
    return bool(refused)


def _never_asked(draft: Draft) -> Set[str]:
    """Return the columns that follow by themselves; how a source was seen is asked of the source alone."""
    return _FOLLOWING if draft.table != Source.table else frozenset()


def _is_inches(draft: Draft, column: Field) -> bool:
    return any(one.column.inch_column == column.name for one in draft.columns())


def _current(draft: Draft, column: Field) -> str:
    inches = draft.cells.get(column.column.inch_column, "")
    return f"{inches} in" if inches else draft.cells.get(column.name, "")


def _ask_row(draft: Draft, drafts: list[Draft], tables: Tables, today: date) -> None:
    if draft.name:
        click.echo(f"-- {draft.name} --", err=True)
    asked: set[str] = set()
    while True:
        column = _next_column(draft, asked)
        if column is None:
            return
        asked.add(column.name)
        proposal = _proposal(draft, column, drafts, tables, today)
        if draft.name and proposal:
            draft.cells[column.name] = proposal  # what goes with a row takes from it what it can
            continue
        _answer(draft, column, _ask(draft, column, proposal, tables))
        if column.name == "source_id" and draft.cells.get(column.name) == NEW:
            draft.cells[column.name] = _ask_source(drafts, tables, today)


def _next_column(draft: Draft, asked: Set[str]) -> Field | None:
    """Return the next column to ask for; inches are answered where the millimetres are asked for."""
    filled = {name for name, text in draft.cells.items() if text}
    filled |= {one.name for one in draft.columns() if one.column.inch_column in filled}
    skipped = {*asked, *filled, *_never_asked(draft)}
    return next((one for one in draft.columns() if one.name not in skipped and not _is_inches(draft, one)), None)


def _answer(draft: Draft, column: Field, text: str) -> None:
    inches = _INCHES.fullmatch(text) if column.column.inch_column else None
    draft.cells[column.name] = text if inches is None else ""
    if column.column.inch_column:
        draft.cells[column.column.inch_column] = inches[1] if inches is not None else ""


def _proposal(draft: Draft, column: Field, drafts: Sequence[Draft], tables: Tables, today: date) -> str:
    trial = deepcopy(list(drafts))
    fill(trial, tables, today)
    return trial[list(drafts).index(draft)].cells.get(column.name, "")


def _ask_source(drafts: list[Draft], tables: Tables, today: date) -> str:
    source = next((draft for draft in drafts if draft.table == "sources"), None)
    if source is None:
        source = Draft("sources", "source")
        drafts.append(source)
        _ask_row(source, drafts, tables, today)
    return source.cells["id"]


def _ask(draft: Draft, column: Field, proposal: str, tables: Tables) -> str:
    """Ask for one cell until the answer can be read as its column's type."""
    inches = " Inches with their unit: 3/8 in." if column.column.inch_column else ""
    click.echo(f"{column.column.title}: {demand(column)}{inches}", err=True)
    while True:
        text = _prompt(draft.path(column.name), proposal, is_needed(draft, column))
        if column.column.refers_to and text != proposal:
            chosen = _chosen(text, column, tables)
            if chosen is None:
                continue
            text = chosen
        if column.column.inch_column and _INCHES.fullmatch(text):
            return text
        try:
            read_cell(column, text)
        except CellError as error:
            click.echo(f"  {error.what}; {error.fix}", err=True)
            continue
        if not text and is_needed(draft, column):
            click.echo("  is empty; on this basis it has to be given", err=True)
            continue
        return text


def _prompt(path: str, proposal: str, is_needed_here: bool) -> str:
    shown = path if is_needed_here or proposal else f"{path} (empty: unknown or none)"
    text: str = click.prompt(shown, default=proposal, show_default=bool(proposal), err=True)
    return "" if text.strip() == NOTHING else text.strip()


def _chosen(text: str, column: Field, tables: Tables) -> str | None:
    """Return ids that exist, `new` for a source; for other words show the nearest rows and return nothing."""
    known = {row.id for name in column.column.refers_to for row in tables.rows[name]}
    is_new = text == NEW and column.column.refers_to == ("sources",)
    if not text or is_new or all(item in known for item in text.split(" ")):
        return text
    click.echo("  no row has this id; the nearest are:", err=True)
    for row in nearest_rows(text, column.column.refers_to, tables):
        click.echo(f"    {row.id}  {getattr(row, 'title', '')}", err=True)
    if column.column.refers_to == ("sources",):
        click.echo(f"  give one of them, other words, or {NEW} for a source that is not in the tables yet", err=True)
    return None


def _ask_alias(drafts: list[Draft]) -> None:
    main = drafts[0]
    takes_aliases = any(companion.table == "aliases" for companion in companions_of(main.table))
    if not takes_aliases or any(draft.table == "aliases" for draft in drafts):
        return
    click.echo("What do spec sheets call it, beside its title? A dash for nothing.", err=True)
    words: str = click.prompt("alias", default=propose_words(main.table, main.cells) or NOTHING, err=True)
    if words.strip() not in ("", NOTHING):
        drafts.append(alias_draft(words.strip(), 1))
