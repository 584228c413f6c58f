"""Whatever happens to the bytes of a table: it is read and comes back the same, or it is refused with a place."""

from __future__ import annotations

import csv
import io
from typing import Any

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from kb.checks import cross_table_faults
from kb.checks.codes import all_codes
from kb.curation.rows.tidy import tidy
from kb.load import TABLES_FOLDER
from kb.store.digest import canonical_cell
from kb.store.faults import Fault
from kb.store.typed_rows import Tables, read_tables
from schemas.columns.columns import fields_of
from schemas.tables import ROW_CLASSES

SMALL = ("blocks", "pumps", "reservoirs", "assumptions", "wetted_materials", "threads", "limits")
CODES = {one.code for one in all_codes()}
SLOW = settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
TROUBLE = st.sampled_from(
    [
        *(",", '"', '""', "\n", "\r\n", "\r", "\0", ";", "\t", " ", "\u00a0", "\u2009", "\ufeff", "\u200b"),
        *("=", "+", "@", "-", "#REF!", "nan", "inf", "1e9", "1,5", "0", "-1", "9" * 40, "Oct-13", "3/8", "TRUE"),
        *("\u043e", "\u0661", "\uff11", "\u2212", "yes", "family/tube", "2026-13-01", "\ud7ff", "\U0010ffff"),
    ]
)
NOISE = st.one_of(TROUBLE.map(str.encode), st.binary(max_size=4), st.text(max_size=4).map(str.encode))


def judged(sound: Tables, table: str, content: bytes) -> tuple[Tables, list[Fault]]:
    """Read one table anew among today's others, and judge all together."""
    again, faults = read_tables({f"{table}.csv": content})
    faults = [fault for fault in faults if fault.code != "TAB-002"]
    rows = {**sound.rows, table: again.rows[table]}
    tables = Tables(rows, {**sound.lines, table: again.lines[table]})
    return tables, [*faults, *cross_table_faults(tables.without({fault.file for fault in faults}))]


def assert_sound_or_located(sound: Tables, table: str, content: bytes) -> None:
    tables, faults = judged(sound, table, content)
    last_line = content.count(b"\n") + content.count(b"\r") + 1
    for fault in faults:
        assert fault.file.removesuffix(".csv") in ROW_CLASSES
        assert fault.line >= 1
        assert fault.code in CODES
        assert fault.what and fault.fix
        assert fault.file != f"{table}.csv" or fault.line <= last_line
        assert not fault.column or fault.column in {one.name for one in fields_of(ROW_CLASSES[fault.file[:-4]])}
    if not faults:
        again, found = read_tables({f"{table}.csv": written(table, tables.rows[table])})
        assert {fault.code for fault in found} <= {"TAB-002"}
        assert [cells(row) for row in again.rows[table]] == [cells(row) for row in tables.rows[table]]
        made = tidy(f"{table}.csv", content)
        assert made.left == ()
        assert tidy(f"{table}.csv", made.content).repairs == ()


def cells(row: Any) -> list[Any]:
    return [canonical_cell(getattr(row, field.name)) for field in fields_of(type(row))]


def written(table: str, rows: tuple[Any, ...]) -> bytes:
    """Return rows as the text of their table, from the typed values alone."""
    fields = fields_of(ROW_CLASSES[table])
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(field.name for field in fields)
    for row in rows:
        writer.writerow(_text(row, field.name, field.column.inch_column) for field in fields)
    return text.getvalue().encode()


def _text(row: Any, name: str, inch_column: str) -> str:
    value = canonical_cell(getattr(row, name))
    if value is None or (inch_column and getattr(row, inch_column, None) is not None):
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return " ".join(value)
    return f"{value:.17f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)


@SLOW
@given(data=st.data(), table=st.sampled_from(SMALL), noise=NOISE)
@example(data=None, table="limits", noise=b"\xff")
def test_bytes_put_anywhere(sound_tables: Tables, data: Any, table: str, noise: bytes) -> None:
    content = (TABLES_FOLDER / f"{table}.csv").read_bytes()
    place = data.draw(st.integers(0, len(content))) if data is not None else 0
    drop = data.draw(st.integers(0, 3)) if data is not None else 0
    assert_sound_or_located(sound_tables, table, content[:place] + noise + content[place + drop :])


@SLOW
@given(data=st.data(), table=st.sampled_from(SMALL))
def test_a_cell_overwritten(sound_tables: Tables, data: st.DataObject, table: str) -> None:
    header, *rows = csv.reader(io.StringIO((TABLES_FOLDER / f"{table}.csv").read_text("utf-8"), newline=""))
    row = data.draw(st.integers(0, len(rows) - 1))
    column = data.draw(st.integers(0, len(header) - 1))
    other = st.sampled_from([one[column] for one in rows])
    rows[row][column] = data.draw(st.one_of(other, TROUBLE, st.text(max_size=6), st.decimals().map(str)))
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerows([header, *rows])
    assert_sound_or_located(sound_tables, table, text.getvalue().encode(errors="surrogatepass"))


@SLOW
@given(data=st.data(), table=st.sampled_from(SMALL))
def test_lines_lost_doubled_moved_or_cut(sound_tables: Tables, data: st.DataObject, table: str) -> None:
    lines = (TABLES_FOLDER / f"{table}.csv").read_bytes().splitlines(keepends=True)
    one, other = (data.draw(st.integers(0, len(lines) - 1)) for _ in range(2))
    match data.draw(st.sampled_from(["lost", "doubled", "moved", "cut", "joined"])):
        case "lost":
            del lines[one]
        case "doubled":
            lines.insert(other, lines[one])
        case "moved":
            lines.insert(other, lines.pop(one))
        case "cut":
            lines = [*lines[:one], lines[one][: data.draw(st.integers(0, len(lines[one])))]]
        case "joined":
            lines[one] = lines[one].rstrip(b"\n")
    assert_sound_or_located(sound_tables, table, b"".join(lines))
