"""The command `wetted tables check`.

Owns: its arguments and lines. Does not own: the checks (`kb/checks/`).
"""

from __future__ import annotations

from pathlib import Path

import click

from api.cli.exit_codes import ExitCode, exit_codes_help
from api.cli.render import write


@click.command(epilog=exit_codes_help())
@click.option("--folder", type=click.Path(path_type=Path), help="Folder of the tables; by default those of wetted.")
def check(folder: Path | None) -> ExitCode:
    """Name every fault of the tables: file, line, row, column, what is wrong, how to mend it."""
    from kb.faults import TablesRefusedError  # noqa: PLC0415
    from kb.store import TABLES_FOLDER, check_folder  # noqa: PLC0415

    checked = folder or TABLES_FOLDER
    try:
        faults = tuple(check_folder(checked))
    except TablesRefusedError as refused:
        faults = refused.faults
    for fault in faults:
        write(f"{fault}\n")
    if faults:
        return ExitCode.TABLES_REFUSED
    write(f"no faults in {checked}\n")
    return ExitCode.DONE
