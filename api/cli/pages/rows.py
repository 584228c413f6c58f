"""The pages that show rows of the tables: one row, a page of rows, the version.

Owns: their look. Does not own: what stands in the rows.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from api.cli.pages.layout import QUIET, STRONG, columns, foot, indented, section, spoken_column
from api.cli.pages.reasons import source_words
from schemas.answers.answers import Cell, Record, RecordAnswer, RecordsAnswer, VersionAnswer

_SIGHT = ("locator", "basis", "confidence", "checked_on", "checked_by", "how_seen", "confirmed_by", "note")
_PROVENANCE = frozenset(("source_id", *_SIGHT))
_WITHDRAWAL = frozenset(("withdrawn_on", "withdrawn_reason"))
_HIDDEN_OF_ENDS = _PROVENANCE | {"id", "fitting_id", "position"}
_GISTS = ("reason", "consequence", "text", "description", "quantity_id", "end_kind", "thread_id", "subject_id")
_UNKNOWN = "not known"
_MOST_RESTING = 12


def record_page(answer: RecordAnswer) -> Iterator[RenderableType]:
    """Yield the page of one row: cells, ends, source."""
    record = answer.record
    yield Text.assemble((record.id, STRONG), f"  {record.title}")
    if record.withdrawn:
        yield Text(f"Withdrawn on {record.values['withdrawn_on']}: {record.values['withdrawn_reason']}", style="yellow")
    if record.families:
        yield Text(f"Families: {', '.join(record.families)}", style=QUIET)
    names = [name for name in record.values if name not in _PROVENANCE | _WITHDRAWAL | {"id"}]
    yield indented(_cells(record, names))
    for end in answer.ends:
        known = [name for name, value in end.values.items() if value is not None and name not in _HIDDEN_OF_ENDS]
        yield section(f"End {end.values['position']}  {end.id}", indented(_cells(end, known)))
    yield from _source(answer)
    yield from _resting(answer)
    yield foot(answer.kb_version)


def records_page(answer: RecordsAnswer) -> Iterator[RenderableType]:
    """Yield one page of a table."""
    shown = len(answer.records)
    yield Text(f"{answer.table}: {shown} of {answer.total} rows", style=STRONG)
    has_dimensions = any(_dimensions(record) for record in answer.records)
    table = columns("id", "what it says", *(["dimensions"] if has_dimensions else []))
    for record in answer.records:
        withdrawn = " (withdrawn)" if record.withdrawn else ""
        dimensions = [Text(_dimensions(record), style=QUIET)] if has_dimensions else []
        table.add_row(record.id, _gist(record) + withdrawn, *dimensions)
    if shown:
        yield table
    if answer.next:
        yield Text(f"More: --after {answer.next}", style=QUIET)
    yield foot(answer.kb_version)


def version_page(answer: VersionAnswer) -> Iterator[RenderableType]:
    """Yield the version of the tables and their sizes."""
    yield Text(f"Tables {answer.version}", style=STRONG)
    yield Text(f"SHA-256 {answer.digest}", style=QUIET)
    table = columns("table", "rows", "a row is")
    for one in answer.tables:
        table.add_row(one.table, Text(str(one.rows), justify="right"), Text(one.description, style=QUIET))
    yield table


def _source(answer: RecordAnswer) -> Iterator[RenderableType]:
    if answer.source is None:
        return
    values = answer.record.values
    known = [name for name in _SIGHT if values.get(name) is not None]
    words = Text(f"{answer.source.id}  {source_words(answer.source)}")
    blocks = [words, *([Text(answer.source.note, style=QUIET)] if answer.source.note else [])]
    yield section("Source", indented(_group_rows(blocks)), indented(_cells(answer.record, known)))


def _resting(answer: RecordAnswer) -> Iterator[RenderableType]:
    """Yield what rests on a source, the first rows by name."""
    rows = answer.resting
    if rows:
        more = [f"and {len(rows) - _MOST_RESTING} more: --json lists all"] if len(rows) > _MOST_RESTING else []
        listed = _group_rows(map(Text, [*rows[:_MOST_RESTING], *more]))
        yield section(f"{len(rows)} rows rest on it", indented(listed))


def _group_rows(blocks: Iterable[Text]) -> Table:
    table = columns("")
    for block in blocks:
        table.add_row(block)
    return table


def _cells(record: Record, names: Iterable[str]) -> Table:
    """Return cells as name and value; what nobody knows is said, not left out."""
    table = columns("", "")
    for name in names:
        if not _is_printed_inches(record, name):
            table.add_row(Text(_column_title(record, name), style=QUIET), _value(record, name))
    return table


def _gist(record: Record) -> str:
    """Return what a row says in a few words."""
    if record.title != record.id:
        return record.title
    if "part_id" in record.values:
        return f"{record.values['words']}: {record.values['part_id']}"
    return next((str(record.values[name]) for name in _GISTS if record.values.get(name)), "")


def _is_printed_inches(record: Record, name: str) -> bool:
    """Return whether a cell is the inch text of a source, shown beside its millimetres."""
    return name.endswith("_in") and f"{name.removesuffix('_in')}_mm" in record.values


def _column_title(record: Record, name: str) -> str:
    return spoken_column(name.removesuffix(f"_{record.units.get(name)}").removesuffix("_id"))


def _value(record: Record, name: str) -> Text:
    value = record.values[name]
    if value is None:
        return Text(_UNKNOWN, style=QUIET)
    inches = record.values.get(f"{name.removesuffix('_mm')}_in")
    printed = f" (printed: {inches} in)" if inches else ""
    return Text(_with_unit(value, record.units.get(name)) + printed)


def _with_unit(value: Cell, unit: str | None) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return ", ".join(value)
    text = f"{value:g}" if isinstance(value, float) else str(value)
    return f"{text} {unit}" if unit and unit != "1" else text


def _dimensions(record: Record) -> str:
    """Return the known cells that have a unit, such as `inside diameter 10 mm, outside diameter 16 mm`."""
    known = (
        f"{_column_title(record, name)} {_with_unit(record.values[name], unit)}"
        for name, unit in record.units.items()
        if record.values[name] is not None and not _is_printed_inches(record, name)
    )
    return ", ".join(known)
