"""New rows: what they need, what follows by itself, and putting them into the tables.

Owns: settings -> drafts -> whole rows -> judged -> written. Does not own: asking people (`api/cli/tables/new.py`),
proposals (`kb/curation/rows/proposals.py`) or what makes a row right (`schemas/tables/`, `kb/checks/`).
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from kb.checks.end_columns import belongs
from kb.checks.facts_have_a_place import LOCATED
from kb.curation.rows.kinds import SOURCE_WORD, companions_of
from kb.curation.rows.proposals import propose_id, propose_title, usual_value
from kb.curation.rows.table_lines import PlacedLine, with_line
from kb.curation.rows.write_files import FileChange, change_files
from kb.load import judge, read_folder
from kb.store.faults import Fault, QuestionError, TablesRefusedError
from kb.store.typed_rows import Tables
from schemas.columns.columns import Field, fields_of
from schemas.columns.provenance import Basis, Confidence
from schemas.tables import ROW_CLASSES
from schemas.tables.aliases import Alias, AliasRelation
from schemas.tables.fitting_ends import EndKind
from schemas.tables.quantities import Quantity
from schemas.tables.sources import Source, SourceKind

HABIT_SOURCE = "source/trade-usage"
WITHDRAWAL = ("withdrawn_on", "withdrawn_reason")
_AFTER_SOURCE = ("locator", "confidence", "note")  # what to say there depends on the basis
WHO_LOOKS = "curator"
_INHERITED = ("source_id", "locator", "basis", "confidence", "checked_on")
_PATH = re.compile(r"(?:(?P<word>[a-z]+)(?:-(?P<label>[a-z0-9]+))?\.)?(?P<column>[a-z0-9_]+)", re.ASCII)
_BASIS = {SourceKind.COMMON_PRACTICE: Basis.COMMON_PRACTICE, SourceKind.FROM_MEMORY: Basis.FROM_MEMORY}


@dataclass(slots=True)
class Draft:
    """A row in the making.

    Attributes:
        table: its table.
        name: how settings speak of it: empty for the row itself, else such as `end-a`, `condition-1` or `source`.
        cells: column name -> text; a column that is not named has not been spoken of.
    """

    table: str
    name: str = ""
    cells: dict[str, str] = field(default_factory=dict)

    def path(self, column: str) -> str:
        """Return how a setting names a column of this row."""
        return f"{self.name}.{column}" if self.name else column

    def columns(self) -> tuple[Field, ...]:
        """Return the columns a curator fills in the order of asking: what follows from others last, no withdrawal."""
        fields = [one for one in fields_of(ROW_CLASSES[self.table]) if one.name not in ("id", *WITHDRAWAL)]
        kind = self.cells.get("end_kind", "")
        if self.table == "fitting_ends" and kind in {member.value for member in EndKind}:
            fields = [one for one in fields if belongs(_without_inch(one.name), EndKind(kind))]
        fields.sort(key=lambda one: (one.name == "title" and self.table == "tubes", one.name in _AFTER_SOURCE))
        return (*fields, fields_of(ROW_CLASSES[self.table])[0])


@dataclass(frozen=True, slots=True)
class Want:
    """A column that a row cannot do without.

    Attributes:
        path: how a setting names it.
        what: its title.
        fix: what to give.
    """

    path: str
    what: str
    fix: str


class RowIncompleteError(Exception):
    """Rows lack columns that nothing can be proposed for; nothing was written.

    Attributes:
        wants: every column that is missing.
    """

    def __init__(self, wants: Sequence[Want]) -> None:
        self.wants = tuple(wants)
        super().__init__("; ".join(f"{want.path}: {want.fix}" for want in wants))


class RowRefusedError(TablesRefusedError):
    """The tables would be refused with the new rows; nothing was written.

    Attributes:
        is_older: whether the faults stand in the tables already, without the new rows.
    """

    def __init__(self, faults: Sequence[Fault], is_older: bool) -> None:
        super().__init__(faults)
        self.is_older = is_older


def read_settings(table: str, settings: Iterable[str]) -> list[Draft]:
    """Return drafts from texts such as `id_mm=9`, `end-a.end_kind=barb` or `source.title=...`; the row itself first.

    Args:
        table: table of the row itself.
        settings: column, `=`, text; before the column the name of a row that goes with it, if that is meant.

    Raises:
        QuestionError: if a text has another form, or names a row or column that there is not, or one twice.

    >>> [(draft.table, draft.cells) for draft in read_settings("rules", ["topic=joint", "condition-1.value=60"])]
    [('rules', {'topic': 'joint'}), ('rule_conditions', {'value': '60'})]
    """
    drafts = {"": Draft(table)}
    for setting in settings:
        path, equals, text = setting.partition("=")
        match = _PATH.fullmatch(path)
        if not equals or match is None:
            raise QuestionError("set", f"{setting[:80]!r} sets nothing", "write column=value, such as id_mm=9")
        name = path.rpartition(".")[0]
        draft = drafts.setdefault(name, Draft(_table_of_companion(table, match["word"]), name) if name else drafts[""])
        _require_column(draft, match["column"])
        if match["column"] in draft.cells:
            raise QuestionError("set", f"{path} is set twice", "set each column once")
        draft.cells[match["column"]] = text
    return list(drafts.values())


def _table_of_companion(table: str, word: str) -> str:
    if word == SOURCE_WORD and table != "sources":
        return "sources"
    words = {companion.word: companion.table for companion in companions_of(table)}
    if word not in words:
        known = (*sorted(words), SOURCE_WORD)
        raise QuestionError("set", f"no rows called {word!r} go with {table}", "name one of: " + ", ".join(known))
    return words[word]


def _require_column(draft: Draft, column: str) -> None:
    names = [one.name for one in fields_of(ROW_CLASSES[draft.table])]
    if column not in names:
        near = difflib.get_close_matches(column, names, n=3, cutoff=0.4)
        fix = "name a column of the table: " + ", ".join(name for name in names if name not in WITHDRAWAL)
        raise QuestionError("set", f"{draft.table} has no column {column!r}", fix, near)


def alias_draft(words: str, number: int) -> Draft:
    """Return the draft of an alias, named `alias-1` and so on."""
    return Draft("aliases", f"alias-{number}", {"words": words})


def fill(drafts: Sequence[Draft], tables: Tables, today: date) -> None:
    """Fill what follows from the rest, in place: ids, links, day, basis, units, and what rows inherit from the first.

    Args:
        drafts: the row itself first.
        tables: the tables as they are.
        today: day on which the row is held against its source.
    """
    main = drafts[0]
    for draft in drafts:
        if draft.table == "sources":
            _fill_source(draft, tables)
            _default(main, "source_id", draft.cells.get("id", "") if draft is not main else "")
    for draft in drafts:
        if draft.table != "sources":
            _fill_row(draft, main, drafts, tables, today)


def _fill_source(draft: Draft, tables: Tables) -> None:
    _default(draft, "id", propose_id("sources", draft.cells, tables))
    _default(draft, "rank", usual_value("sources", "rank", {"kind": draft.cells.get("kind", "")}, tables))
    _default(draft, "carriers", "1")
    if draft.cells.get("address"):
        _default(draft, "address_seen_in", "the document itself")


def _fill_row(draft: Draft, main: Draft, drafts: Sequence[Draft], tables: Tables, today: date) -> None:
    if draft is not main:
        _link(draft, main)
        _fill_provenance(draft, main, tables)
    _default(draft, "checked_on", today.isoformat())
    _default(draft, "title", propose_title(draft.table, draft.cells, tables))
    _default(draft, "basis", _basis(draft, drafts, tables))
    if draft.cells.get("basis") == Basis.FROM_MEMORY:
        _default(draft, "confidence", Confidence.LOW.value)
    if draft.cells.get("basis") in (Basis.PUBLISHED, Basis.MEASURED):
        _default(draft, "checked_by", WHO_LOOKS)
        _default(draft, "how_seen", _how_seen(draft.cells.get("source_id", ""), drafts, tables))
    _default(draft, "unit", _unit(draft.cells.get("quantity_id", ""), tables))
    taken = [other.cells["id"] for other in drafts if other is not draft and other.cells.get("id")]
    _default(draft, "id", propose_id(draft.table, draft.cells, tables, taken))


def _how_seen(source_id: str, drafts: Sequence[Draft], tables: Tables) -> str:
    """Return in what form a source was read, of those that are there or of those that come with the row."""
    forms = {source.id: source.how_seen.value for source in tables.of(Source)}
    forms |= {one.cells.get("id", ""): one.cells.get("how_seen", "") for one in drafts if one.table == "sources"}
    return forms.get(source_id, "")


def _default(draft: Draft, column: str, text: str) -> None:
    names = {one.name for one in fields_of(ROW_CLASSES[draft.table])}
    if text and column in names and not draft.cells.get(column):
        draft.cells[column] = text


def _link(draft: Draft, main: Draft) -> None:
    link = next(one.link for one in companions_of(main.table) if one.table == draft.table)
    _default(draft, link, main.cells.get("id", ""))
    if draft.table == "fitting_ends":
        _default(draft, "position", draft.name.rpartition("-")[2])


def _fill_provenance(draft: Draft, main: Draft, tables: Tables) -> None:
    """Give a row that goes with another its provenance; what people call a thing is a habit, whoever made the thing."""
    if draft.table != "aliases":
        for column in _INHERITED if not draft.cells.get("source_id") else ("checked_on",):
            _default(draft, column, main.cells.get(column, ""))
        return
    _default(draft, "source_id", HABIT_SOURCE)
    _default(draft, "confidence", Confidence.MEDIUM.value)
    if draft.cells.get("words"):
        _default(draft, "relation", _relation(draft.cells["words"], tables))


def _relation(words: str, tables: Tables) -> str:
    sure = {alias.words for alias in tables.active(Alias) if alias.relation is AliasRelation.SAME}
    return (AliasRelation.ALSO_SOLD_AS if words in sure else AliasRelation.SAME).value


def _basis(draft: Draft, drafts: Sequence[Draft], tables: Tables) -> str:
    """Return the basis that a source of this kind stands for; empty as long as there is no source."""
    wanted = draft.cells.get("source_id", "")
    kinds = {source.id: source.kind.value for source in tables.of(Source)}
    kinds |= {one.cells.get("id", ""): one.cells.get("kind", "") for one in drafts if one.table == "sources"}
    kind = kinds.get(wanted) if wanted else None
    if kind is None or kind not in {member.value for member in SourceKind}:
        return ""
    return _BASIS.get(SourceKind(kind), Basis.PUBLISHED).value


def _unit(quantity_id: str, tables: Tables) -> str:
    return next((row.unit for row in tables.of(Quantity) if row.id == quantity_id), "")


def _without_inch(column: str) -> str:
    return f"{column.removesuffix('_in')}_mm" if column.endswith("_in") else column


def wants(draft: Draft) -> tuple[Want, ...]:
    """Return the columns that a row cannot do without and that are still empty; the id only if nothing else is."""
    missing = [one for one in draft.columns() if is_needed(draft, one) and not draft.cells.get(one.name)]
    named = [one for one in missing if one.name != "id"] or missing
    return tuple(Want(draft.path(one.name), one.column.title, demand(one)) for one in named)


def is_needed(draft: Draft, column: Field) -> bool:
    """Return whether a cell of this column must not be empty in a row that says what this one says so far."""
    if column.name == "locator":
        return draft.cells.get("basis") in {basis.value for basis in LOCATED}
    return not column.nullable and column.kind is not tuple


def demand(column: Field) -> str:
    """Return what a column wants, in words: its description, unit, range, choices or example."""
    declared = column.column
    if column.choices:
        return f"{declared.description} One of: {', '.join(column.choices)}."
    unit = f" [{declared.unit}]" if declared.unit not in ("", "1") else ""
    bounds = f" {declared.bounds[:1].upper()}{declared.bounds[1:]}." if declared.bounds else ""
    return f"{declared.description}{unit}{bounds} Such as {declared.example.removesuffix('.')}."


def add_rows(folder: Path, drafts: Sequence[Draft], is_trial: bool = False) -> tuple[PlacedLine, ...]:
    """Put rows into the tables, judged together with all that stands there before anything is written.

    Args:
        folder: folder of the tables.
        drafts: whole rows.
        is_trial: judge, but write nothing.

    Returns:
        The new lines and where they stand, what others refer to first.

    Raises:
        RowIncompleteError: if a row lacks a column.
        RowRefusedError: if the tables would be refused.
        FileChangedError: if somebody changed a table meanwhile.
        OSError: if a table cannot be written.
    """
    missing = [want for draft in drafts for want in wants(draft)]
    if missing:
        raise RowIncompleteError(missing)
    before = read_folder(folder)
    after, placed = _insert(before, drafts)
    faults = judge(after)[1]
    if faults:
        older = judge(before)[1]
        raise RowRefusedError(older or faults, is_older=bool(older))
    if not is_trial:
        files = dict.fromkeys(line.file for line in placed)
        change_files([FileChange(folder / file, before[file], after[file]) for file in files])
    return placed


def _insert(files: Mapping[str, bytes], drafts: Sequence[Draft]) -> tuple[dict[str, bytes], tuple[PlacedLine, ...]]:
    """Return the files with the rows put in, and the lines as they stand once all are in."""
    after = dict(files)
    order = list(ROW_CLASSES)
    ids: list[tuple[str, str]] = []
    for draft in sorted(drafts, key=lambda draft: order.index(draft.table)):
        file = f"{draft.table}.csv"
        if file not in after:
            continue  # judged as a missing file
        cells = [draft.cells.get(one.name, "") for one in fields_of(ROW_CLASSES[draft.table])]
        after[file], line = with_line(file, after[file], cells)
        ids.append((file, line.text))
    return after, tuple(_found(after[file], file, text) for file, text in ids)


def _found(content: bytes, file: str, text: str) -> PlacedLine:
    lines = content.split(b"\n")
    return PlacedLine(file, lines.index(text.encode(errors="surrogateescape")) + 1, text)
