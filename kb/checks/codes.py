"""Every code a fault of the tables can carry, with its promise.

Owns: the promises of files, cells and releases, and the list of all codes. Does not own: finding faults, or the
promises across tables (one file each in `kb/checks/`).
"""

from __future__ import annotations

from functools import cache

from kb.checks import CHECKS
from kb.store.faults import Fault, QuestionError
from schemas.answers.faults import CheckAnswer, CheckCode, TableFault

# Faults with these codes keep a table from being read; checks across tables that need it wait.
_OF_FILES_AND_CELLS: tuple[tuple[str, str, str], ...] = (
    ("TAB-001", "Every CSV file in the folder is a table.", "kb/store/typed_rows.py"),
    ("TAB-002", "Every table has its file.", "kb/store/typed_rows.py"),
    ("TAB-003", "The folder of the tables exists.", "kb/load.py"),
    ("TAB-004", "The folder has a file VERSION.", "kb/load.py"),
    ("TAB-005", "VERSION holds one calendar version, such as 2026.11.0.", "kb/load.py"),
    ("TAB-006", "Every file of the folder can be read.", "kb/load.py"),
    ("CSV-001", "A table is no larger than 32 MiB.", "kb/store/csv_text.py"),
    ("CSV-002", "A table does not start with a byte-order mark.", "kb/store/csv_text.py"),
    ("CSV-003", "A table is text in UTF-8.", "kb/store/csv_text.py"),
    ("CSV-004", "Lines end with LF alone, and no line holds CR or NUL.", "kb/store/csv_text.py"),
    ("CSV-005", "The last line is ended.", "kb/store/csv_text.py"),
    ("CSV-006", "Quotes are closed, and doubled inside a cell.", "kb/store/csv_text.py"),
    ("CSV-007", "A table has at least its header.", "kb/store/csv_text.py"),
    ("CSV-008", "The header names the declared columns in their order.", "kb/store/csv_text.py"),
    ("CSV-009", "No line is blank.", "kb/store/csv_text.py"),
    ("CSV-010", "Every line has as many cells as the header.", "kb/store/csv_text.py"),
    ("CSV-011", "No cell holds a line break.", "kb/store/csv_text.py"),
    ("CEL-001", "Every cell can be read as what its column holds.", "schemas/columns/columns.py"),
    ("CEL-002", "An inch figure is a plain fraction or decimal above zero.", "schemas/columns/columns.py"),
    ("CEL-003", "A dimension is given in inches or in millimetres, not in both.", "kb/store/typed_rows.py"),
    ("SCH-001", "Every value has the range, form and uniqueness that its column declares.", "schemas/tables/frame.py"),
)
_OF_RELEASES: tuple[tuple[str, str, str], ...] = (
    ("REL-001", "Every file of a release can be read.", "kb/store/release_reader.py"),
    ("REL-002", "A release holds the tables that it says it holds.", "kb/store/release_reader.py"),
    ("REL-003", "A release has the tables and columns of this program.", "kb/store/release_reader.py"),
    ("REL-004", "A release lists its files with their checksums.", "kb/curation/release/check_release.py"),
    ("REL-005", "Every listed file of a release is there.", "kb/curation/release/check_release.py"),
    ("REL-006", "Every listed file of a release is the one that was built.", "kb/curation/release/check_release.py"),
    ("REL-007", "A release holds no other file than those it lists.", "kb/curation/release/check_release.py"),
)


@cache
def all_codes() -> tuple[CheckCode, ...]:
    """Return every code with its promise and its file, sorted by code."""
    across = ((check.CODE, check.PROMISE, f"{check.__name__.replace('.', '/')}.py") for check in CHECKS)
    declared = (*_OF_FILES_AND_CELLS, *_OF_RELEASES, *across)
    reported = (CheckCode(code=code, promise=promise, file=file) for code, promise, file in declared)
    return tuple(sorted(reported, key=lambda one: one.code))


def reported_code(code: str) -> CheckCode:
    """Return one code, whatever the case of its letters.

    Raises:
        QuestionError: if no check has this code.

    >>> reported_code("tub-001").promise
    'A tube is wider outside than inside, by twice its wall.'
    """
    known = {one.code: one for one in all_codes()}
    asked = code.strip().upper()
    if asked not in known:
        near = tuple(one for one in known if one[:3] == asked[:3]) or tuple(sorted({one[:3] for one in known}))
        raise QuestionError("code", f"no check has the code {code[:80]!r}", "see wetted tables codes", near)
    return known[asked]


def check_answer(folder: str, faults: tuple[Fault, ...]) -> CheckAnswer:
    """Return faults with their promises, and the files that checks across tables wait for.

    Args:
        folder: the folder that was checked, as it shall be named.
        faults: all its faults.
    """
    early = {code for code, _, _ in _OF_FILES_AND_CELLS}
    return CheckAnswer(
        folder=_plain(folder),
        faults=tuple(_reported_fault(fault) for fault in sorted(faults)),
        waiting_for=tuple(sorted({fault.file for fault in faults if fault.code in early})),
    )


def _reported_fault(fault: Fault) -> TableFault:
    return TableFault(
        file=fault.file,
        line=fault.line,
        column=fault.column,
        row_id=fault.row_id,
        code=fault.code,
        what=fault.what,
        fix=fault.fix,
        promise=reported_code(fault.code).promise,
    )


def _plain(path: str) -> str:
    """Return a path as text that can be written, whatever bytes the file system gave."""
    return path.encode(errors="backslashreplace").decode()
