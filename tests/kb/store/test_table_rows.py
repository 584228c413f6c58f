"""From the text of tables to typed rows: values, inches, and faults with fixes that help."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping

import pytest

from kb.load import TABLES_FOLDER
from kb.store.faults import Fault
from kb.store.typed_rows import read_tables
from schemas.columns.columns import fields_of
from schemas.columns.provenance import Basis
from schemas.tables import ROW_CLASSES
from schemas.tables.tubes import NominalMeans, Tube

TUBE = {
    "id": "tube/test",
    "family_id": "family/tube-soft",
    "title": "test tube",
    "designation": "3/8 x 5/8 in",
    "nominal_means": "both",
    "id_in": "3/8",
    "od_mm": "16",
    "source_id": "source/from-memory",
    "basis": "from-memory",
    "confidence": "low",
    "checked_on": "2026-11-25",
}


def headers() -> dict[str, bytes]:
    """Return every table with its header alone."""
    return {
        f"{name}.csv": (",".join(field.name for field in fields_of(row_class)) + "\n").encode()
        for name, row_class in ROW_CLASSES.items()
    }


def tubes(*rows: Mapping[str, str]) -> dict[str, bytes]:
    """Return all tables, empty but for these tubes."""
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, [field.name for field in fields_of(Tube)], restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return {**headers(), "tubes.csv": text.getvalue().encode()}


def only_fault(**cells: str) -> Fault:
    _, faults = read_tables(tubes({**TUBE, **cells}))
    (fault,) = faults
    return fault


def test_cells_become_typed_values() -> None:
    tables, faults = read_tables(tubes(TUBE))
    (tube,) = tables.of(Tube)
    assert faults == []
    assert (tube.od_mm, tube.nominal_means, tube.basis) == (16.0, NominalMeans.BOTH, Basis.FROM_MEMORY)
    assert tube.wall_mm is None


def test_an_inch_figure_fills_its_millimetres_exactly_and_is_kept() -> None:
    tables, _ = read_tables(tubes(TUBE))
    (tube,) = tables.of(Tube)
    assert (tube.id_in, tube.id_mm) == ("3/8", 9.525)


def test_tables_with_headers_alone_are_sound_and_empty() -> None:
    tables, faults = read_tables(headers())
    assert faults == []
    assert all(rows == () for rows in tables.rows.values())


def test_rows_know_their_lines() -> None:
    tables, _ = read_tables(tubes(TUBE, {**TUBE, "id": "tube/test-two"}))
    assert tables.lines["tubes"] == {"tube/test": 2, "tube/test-two": 3}
    fault = tables.fault(tables.of(Tube)[1], "od_mm", "XXX-001", "is odd", "look again")
    assert str(fault) == "tubes.csv:3 tube/test-two od_mm XXX-001: is odd; fix: look again"


def test_an_id_that_stands_twice_is_reported_on_both_lines() -> None:
    _, faults = read_tables(tubes(TUBE, TUBE))
    assert [(fault.code, fault.line, fault.column) for fault in faults] == [("SCH-001", 2, "id"), ("SCH-001", 3, "id")]


def test_all_wrong_cells_of_a_row_are_reported_at_once() -> None:
    _, faults = read_tables(tubes({**TUBE, "nominal_means": "outsid", "od_mm": "16,0", "checked_on": "today"}))
    assert [fault.column for fault in faults] == ["nominal_means", "od_mm", "checked_on"]


def test_a_withdrawn_row_is_read_but_does_not_stand() -> None:
    withdrawn = {**TUBE, "id": "tube/test-two", "withdrawn_on": "2026-11-26", "withdrawn_reason": "misprint"}
    tables, faults = read_tables(tubes(TUBE, withdrawn))
    assert faults == []
    assert [tube.id for tube in tables.active(Tube)] == ["tube/test"]


@pytest.mark.parametrize(
    ("cells", "fix"),
    [
        ({"nominal_means": "outsid"}, "write outside, or another one of: inside, both, neither"),
        ({"nominal_means": "xyz"}, "write one of: inside, outside, both, neither"),
        ({"od_mm": "16,5"}, "write 16.5"),
        ({"od_mm": "5/8"}, "a fraction belongs in the column od_in"),
        ({"od_mm": "16 mm"}, "the column already says mm: write the number alone"),
        ({"od_mm": "Oct-13"}, "write the size again, perhaps 10/13"),
        ({"od_mm": "0"}, "write a value above 0 and below 1000 mm, such as 15.875"),
        ({"id_in": "3/8″"}, "write 3/8"),
        ({"id": "Tube/test"}, "write it like tube/soft-3-8x5-8"),
        ({"title": " test tube"}, "write 'test tube'"),
        ({"title": ""}, "write a value such as soft tube 3/8 x 5/8 in"),
        ({"id_mm": "9.525"}, "keep the one the source prints; the other is computed"),
        ({"checked_on": "25.11.2026"}, "write year-month-day such as 2026-11-25"),
    ],
)
def test_the_fix_says_what_to_write(cells: dict[str, str], fix: str) -> None:
    assert only_fault(**cells).fix == fix


def test_an_unknown_file_is_answered_with_the_nearest_table() -> None:
    _, faults = read_tables({**headers(), "tube.csv": b"id\n"})
    assert [(fault.file, fault.fix) for fault in faults] == [("tube.csv", "rename it to tubes.csv")]


def test_faults_of_several_files_come_together() -> None:
    files = tubes({**TUBE, "od_mm": "x"})
    del files["seals.csv"]
    files["ports.csv"] = b""
    _, faults = read_tables(files)
    assert {(fault.file, fault.code) for fault in faults} == {
        ("tubes.csv", "CEL-001"),
        ("seals.csv", "TAB-002"),
        ("ports.csv", "CSV-007"),
    }


def test_every_table_of_the_house_is_read() -> None:
    assert {path.stem for path in TABLES_FOLDER.glob("*.csv")} == set(ROW_CLASSES)


def test_a_file_that_did_not_change_is_not_read_twice_and_another_one_is() -> None:
    once, again = (read_tables(tubes(TUBE))[0] for _ in range(2))
    other, _ = read_tables(tubes({**TUBE, "od_mm": "16.5"}))
    assert again.rows["tubes"][0] is once.rows["tubes"][0]
    assert other.rows["tubes"][0].od_mm == 16.5
