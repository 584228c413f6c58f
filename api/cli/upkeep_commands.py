"""The command for those who run the service: serve.

Owns: its arguments and help text. Does not own: the service (`api/http/`).
"""

from __future__ import annotations

from pathlib import Path

import click

from api.cli.exit_codes import ExitCode, exit_codes_help
from api.cli.render import remark

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
@click.option(
    "--tables",
    type=click.Path(path_type=Path),
    help="Folder of tables or release to serve; by default $WETTED_TABLES, else those of the program.",
)
def serve(host: str, port: int, tables: Path | None) -> ExitCode:
    """Serve the JSON API until stopped."""
    from api.http.serve import serve as serve_http  # noqa: PLC0415

    try:
        serve_http(host, port, tables)
    except SystemExit:  # the server's way to say that it cannot start, with codes that mean other things here
        remark(f"cannot serve on {host} port {port}")
        return ExitCode.FAILED
    return ExitCode.DONE


UPKEEP_COMMANDS: tuple[click.Command, ...] = (serve,)
