"""Rows as anyone may read them: one by id, or a table page by page.

Owns: rows -> `schemas.answers.answers` records. Does not own: answering questions about parts.
"""

from __future__ import annotations

from bisect import bisect_right
from typing import Any

from kb.parts.resolver import Resolver
from kb.report.answers.evidence import report_source
from kb.report.sentences.findings import row_name
from kb.store.digest import canonical_cell
from kb.store.faults import QuestionError
from kb.store.snapshot import Snapshot
from schemas.answers.answers import Cell, Record, RecordAnswer, RecordsAnswer, TableSummary, VersionAnswer
from schemas.columns.columns import fields_of
from schemas.columns.provenance import Sourced
from schemas.tables import ROW_CLASSES
from schemas.tables.sources import Source


def read_record(snapshot: Snapshot, resolver: Resolver, row_id: str) -> RecordAnswer:
    """Return one row of any table with its source.

    Args:
        snapshot: the knowledge.
        resolver: knows how to name the nearest ids.
        row_id: id of the row.

    Raises:
        QuestionError: if no row has this id.
    """
    row = snapshot.row(row_id)
    if row is None:
        raise resolver.refused(row_id, "id", ROW_CLASSES)
    source_id = getattr(row, "source_id", None)
    return RecordAnswer(
        kb_version=snapshot.version,
        record=_report(snapshot, row),
        source=report_source(snapshot.get(Source, source_id)) if source_id else None,
        ends=tuple(_report(snapshot, end) for end in snapshot.ends(row_id)),
        resting=_resting(snapshot, row_id) if isinstance(row, Source) else (),
    )


def _resting(snapshot: Snapshot, source_id: str) -> tuple[str, ...]:
    """Return the active rows that name a source, in the order of tables and ids."""
    return tuple(
        row.id
        for table, row_class in ROW_CLASSES.items()
        if issubclass(row_class, Sourced)
        for row in snapshot.all_rows(table)
        if row.source_id == source_id and row.withdrawn_on is None
    )


def read_records(
    snapshot: Snapshot, resolver: Resolver, table: str, family: str | None, after: str | None, limit: int
) -> RecordsAnswer:
    """Return a page of a table, sorted by id.

    Args:
        snapshot: the knowledge.
        resolver: knows how to name the nearest ids.
        table: name of the table.
        family: only rows of this family or its descendants.
        after: only rows whose id sorts after this one.
        limit: most rows to return.

    Raises:
        QuestionError: if the table or family does not exist, or the table knows no families.
    """
    if table not in ROW_CLASSES:
        raise QuestionError("table", f"no table is called {table[:80]!r}", "name a table", tuple(ROW_CLASSES))
    rows = snapshot.all_rows(table)
    if family is not None:
        if not snapshot.families(family):
            raise resolver.refused(family, "family", ("families",))
        rows = tuple(row for row in rows if family in snapshot.families(getattr(row, "family_id", "")))
    start = bisect_right(rows, after, key=lambda row: row.id) if after else 0
    page = rows[start : start + limit]
    more = start + limit < len(rows)
    return RecordsAnswer(
        kb_version=snapshot.version,
        table=table,
        total=len(rows),
        records=tuple(_report(snapshot, row) for row in page),
        next=page[-1].id if more and page else None,
    )


def read_version(snapshot: Snapshot) -> VersionAnswer:
    """Return the version of the tables and how many rows each has."""
    tables = tuple(
        TableSummary(table=name, rows=len(snapshot.all_rows(name)), description=(row_class.__doc__ or "").strip())
        for name, row_class in ROW_CLASSES.items()
    )
    return VersionAnswer(
        kb_version=snapshot.version, version=snapshot.tables_version, digest=snapshot.digest, tables=tables
    )


def _report(snapshot: Snapshot, row: object) -> Record:
    fields = fields_of(type(row))
    values = {field.name: getattr(row, field.name) for field in fields}
    row_id = str(values["id"])
    return Record(
        id=row_id,
        table=type(row).table,  # type: ignore[attr-defined]
        title=row_name(snapshot, row_id),
        families=snapshot.families(str(values.get("family_id", ""))),
        values={name: _cell(canonical_cell(value)) for name, value in values.items()},
        units={field.name: field.column.unit for field in fields if field.column.unit},
        withdrawn=values.get("withdrawn_on") is not None,
    )


def _cell(value: Any) -> Cell:
    return tuple(value) if isinstance(value, list) else value
