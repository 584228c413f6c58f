"""The commands for those who run the service or change the tables: serve, tables check.

Owns: their arguments and help texts, and the lines of a check. Does not own: the service (`api/http/`) or the checks
(`kb/checks/`).
"""

from __future__ import annotations

from pathlib import Path

import click

from api.cli.exit_codes import ExitCode, exit_codes_help
from api.cli.render import remark, write

HIGHEST_PORT = 65535


@click.command(epilog=exit_codes_help())
@click.option(
    "--host", default="127.0.0.1", show_default=True, help="Address to listen on; the default is this computer."
)
@click.option(
    "--port",
    type=click.IntRange(0, HIGHEST_PORT),
    default=8000,
    show_default=True,
    help="Port to listen on; 0 takes any free one.",
)
def serve(host: str, port: int) -> ExitCode:
    """Serve the JSON API until stopped."""
    from api.http.serve import serve as serve_http  # noqa: PLC0415

    try:
        serve_http(host, port)
    except SystemExit:  # the server's way to say that it cannot start, with codes that mean other things here
        remark(f"cannot serve on {host} port {port}")
        return ExitCode.FAILED
    return ExitCode.DONE


@click.group()
def tables() -> None:
    """Work on the tables."""


@tables.command(epilog=exit_codes_help())
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


UPKEEP_COMMANDS: tuple[click.Command, ...] = (tables, serve)
