"""The command `wetted tables check`.

Owns: its arguments and lines. Does not own: the checks (`kb/checks/`), lines for continuous integration
(`api/cli/tables/annotations.py`).
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from api.cli.commands.asking_commands import as_json_option
from api.cli.exit_codes import ExitCode, exit_codes_help
from api.cli.render import printable, remark, write

if TYPE_CHECKING:
    from kb.store.faults import Fault
    from schemas.answers.faults import CheckAnswer


@click.command(epilog=exit_codes_help())
@click.option(
    "--folder", type=click.Path(path_type=Path), help="Folder of tables or release; by default the tables of wetted."
)
@as_json_option
@click.option("--annotations", is_flag=True, help="One ::error line a fault, for continuous integration.")
def check(folder: Path | None, as_json: bool, annotations: bool) -> ExitCode:
    """Name every fault of the tables: file, line, row, column, what is wrong, how to fix it.

    Of a release, which FOLDER may be as well, every file is held against its checksum, too.
    """
    from kb.checks.codes import check_answer  # noqa: PLC0415 - so that the help answers at once
    from kb.load import TABLES_FOLDER  # noqa: PLC0415

    if as_json and annotations:
        raise click.UsageError("--json and --annotations exclude each other")
    checked = folder or TABLES_FOLDER
    faults = _faults(checked)
    answer = check_answer(str(checked), faults)
    if as_json:
        write(answer.to_json_bytes(indent=2) + b"\n")
    elif annotations:
        _write_annotations(checked, answer)
    else:
        _write_lines(checked, faults, answer)
    return ExitCode.TABLES_REFUSED if faults else ExitCode.DONE


def _faults(folder: Path) -> tuple[Fault, ...]:
    from kb.curation.release.check_release import check_path  # noqa: PLC0415
    from kb.store.faults import TablesRefusedError  # noqa: PLC0415

    try:
        return tuple(check_path(folder))
    except TablesRefusedError as refused:
        return refused.faults


def _write_annotations(folder: Path, answer: CheckAnswer) -> None:
    from api.cli.tables.annotations import annotation  # noqa: PLC0415

    for fault in answer.faults:
        write(annotation(folder, fault) + "\n")


def _write_lines(folder: Path, faults: tuple[Fault, ...], answer: CheckAnswer) -> None:
    for fault in faults:
        write(printable(str(fault), getattr(sys.stdout, "encoding", None) or "utf-8") + "\n")
    if not faults:
        write(f"no faults in {folder}\n")
    if answer.waiting_for:
        remark(f"checks across tables that read {', '.join(answer.waiting_for)} run once these are clean")
