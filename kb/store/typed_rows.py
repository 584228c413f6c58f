"""From the text of one table to typed rows, or to located faults.

Owns: cells -> typed values -> pandera -> row objects, each fault with its line. Does not own: checks across tables
(`kb/checks/`) or the form of the file (`kb/store/csv_text.py`).
"""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Any, NamedTuple, TypeVar

from kb.store.csv_text import RawRow, read_rows
from kb.store.faults import Fault
from schemas.columns.columns import CellError, Field, fields_of, fill_from_inches, inch_fields, read_cell
from schemas.columns.sizes import SizeError
from schemas.tables import ROW_CLASSES
from schemas.tables.frame import pandera_schema

Row = TypeVar("Row")

MOST_CACHED = 4 * len(
    ROW_CLASSES
)  # files as they were and as they are, some times over; all tables take less than 10 MB


class TableLeftOutError(LookupError):
    """The rows of a table were asked for that was left out because its form or its cells are wrong."""


@dataclass(frozen=True, slots=True)
class Tables:
    """All tables as typed rows, with the line each row is on.

    Attributes:
        rows: table name -> rows in the order of the file; tables that were left out are missing.
        lines: table name -> row id -> line number; empty when the rows come from a snapshot file.
    """

    rows: Mapping[str, tuple[Any, ...]]
    lines: Mapping[str, Mapping[str, int]]

    def of(self, row_class: type[Row]) -> tuple[Row, ...]:
        """Return the rows of one table, by its row class.

        Raises:
            TableLeftOutError: if the table was left out.
        """
        name: str = row_class.table  # type: ignore[attr-defined]
        if name not in self.rows:
            raise TableLeftOutError(name)
        return self.rows[name]

    def without(self, files: Collection[str]) -> Tables:
        """Return the tables less those of the named files: what is sound while others are not."""
        rows = {name: rows for name, rows in self.rows.items() if f"{name}.csv" not in files}
        return Tables(MappingProxyType(rows), self.lines)

    def active(self, row_class: type[Row]) -> tuple[Row, ...]:
        """Return the rows of one table that are not withdrawn."""
        return tuple(row for row in self.of(row_class) if getattr(row, "withdrawn_on", None) is None)

    def fault(self, row: Any, column: str, code: str, what: str, fix: str) -> Fault:
        """Return a fault located at a row."""
        return Fault(f"{row.table}.csv", self.lines[row.table].get(row.id, 0), column, code, row.id, what, fix)


class _TypedRow(NamedTuple):
    line: int
    values: dict[str, Any]


class _ReadTable(NamedTuple):
    """What the file of one table holds: rows, the line of each by its id, and faults."""

    rows: tuple[Any, ...]
    lines: Mapping[str, int]
    faults: tuple[Fault, ...]


def read_tables(files: Mapping[str, bytes]) -> tuple[Tables, list[Fault]]:
    """Read every table from the bytes of its file.

    Args:
        files: file name such as `tubes.csv` -> content.

    Returns:
        The tables and all faults of form, type, range and pattern; with any fault the tables are incomplete and must
        not be used.
    """
    rows: dict[str, tuple[Any, ...]] = {}
    lines: dict[str, Mapping[str, int]] = {}
    faults: list[Fault] = list(_unknown_files(files))
    for name in ROW_CLASSES:
        read = _read_table(name, files.get(f"{name}.csv"))
        faults += read.faults
        rows[name], lines[name] = read.rows, read.lines
    return Tables(MappingProxyType(rows), MappingProxyType(lines)), faults


def _unknown_files(files: Mapping[str, bytes]) -> Iterator[Fault]:
    for file in sorted(set(files) - {f"{name}.csv" for name in ROW_CLASSES}):
        near = difflib.get_close_matches(file, [f"{name}.csv" for name in ROW_CLASSES], n=1)
        yield Fault(
            file, 0, "", "TAB-001", "", "no table has this name", f"rename it to {near[0]}" if near else "remove it"
        )


@lru_cache(MOST_CACHED)
def _read_table(name: str, content: bytes | None) -> _ReadTable:
    """Read one table; all follows from its bytes, so that who reads a folder again pays for what changed alone."""
    file, row_class = f"{name}.csv", ROW_CLASSES[name]
    if content is None:
        missing = Fault(file, 0, "", "TAB-002", "", "the file is missing", "restore it, with its header at least")
        return _ReadTable((), MappingProxyType({}), (missing,))
    fields = fields_of(row_class)
    raw, faults = read_rows(file, content, [field.name for field in fields])
    typed: list[_TypedRow] = []
    for row in raw:
        values, found = _typed_values(file, fields, row, row_class)
        faults += found
        if not found:
            typed.append(_TypedRow(row.line, values))
    faults += _pandera_faults(file, row_class, typed)
    rows = tuple(row_class(**row.values) for row in typed)
    return _ReadTable(rows, MappingProxyType({row.values["id"]: row.line for row in typed}), tuple(faults))


def _typed_values(
    file: str, fields: Sequence[Field], row: RawRow, row_class: type[Any]
) -> tuple[dict[str, Any], list[Fault]]:
    values: dict[str, Any] = {}
    faults: list[Fault] = []
    row_id = row.cells[0]
    for field, text in zip(fields, row.cells, strict=True):
        try:
            values[field.name] = read_cell(field, text)
        except CellError as error:
            faults.append(Fault(file, row.line, field.name, "CEL-001", row_id, error.what, error.fix))
    if not faults:
        faults += _inch_faults(file, row, inch_fields(row_class), values)
    if not faults:
        try:
            fill_from_inches(row_class, values)
        except SizeError as error:
            faults.append(Fault(file, row.line, "", "CEL-002", row_id, error.what, error.fix))
    return values, faults


def _inch_faults(file: str, row: RawRow, fields: Sequence[Field], values: Mapping[str, Any]) -> Iterator[Fault]:
    for field in fields:
        inch = field.column.inch_column
        if values[field.name] is not None and values.get(inch) is not None:
            what = f"both {inch} and {field.name} are filled"
            fix = "keep the one the source prints; the other is computed"
            yield Fault(file, row.line, field.name, "CEL-003", values["id"], what, fix)


def _pandera_faults(file: str, row_class: type[Any], typed: Sequence[_TypedRow]) -> Iterator[Fault]:
    import pandas as pd  # noqa: PLC0415 - slow to import
    import pandera.errors  # noqa: PLC0415

    if not typed:
        return
    frame = _frame(pd, row_class, typed)
    try:
        pandera_schema(row_class).validate(frame, lazy=True, inplace=True)  # nobody else has this frame
    except pandera.errors.SchemaErrors as errors:
        by_line = {row.line: row.values["id"] for row in typed}
        for case in errors.failure_cases.to_dict("records"):
            yield _pandera_fault(file, case, by_line, fields_of(row_class))


def _frame(pd: Any, row_class: type[Any], typed: Sequence[_TypedRow]) -> Any:
    index = pd.Index([row.line for row in typed])  # made once for all columns
    columns = {}
    for field in fields_of(row_class):
        dtype = {float: "float64", int: "int64", bool: "bool"}.get(field.kind, "object")
        columns[field.name] = pd.Series([row.values[field.name] for row in typed], index=index, dtype=dtype)
    return pd.DataFrame(columns)


def _pandera_fault(file: str, case: Mapping[str, Any], by_line: Mapping[int, str], fields: Sequence[Field]) -> Fault:
    line = int(case["index"]) if case["index"] is not None and case["index"] == case["index"] else 0
    column, check = str(case["column"]), str(case["check"])
    declared = next((field.column for field in fields if field.name == column), None)
    if check == "field_uniqueness":
        what, fix = f"{case['failure_case']!r} stands more than once", f"give every row a {column} of its own"
    elif declared is None:
        what, fix = f"{case['failure_case']!r} {check}", "see the table's columns in its schema"
    else:
        what = f"{case['failure_case']!r} {check}"
        demand = f"a value {declared.bounds}, such as" if declared.bounds else "it like"
        fix = f"write {demand} {declared.example}"
    return Fault(file, line, column, "SCH-001", by_line.get(line, ""), what, fix)
