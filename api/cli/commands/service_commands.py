"""The command for those who run the service: serve.

Owns: its arguments and help text. Does not own: the service (`api/http/`).
"""

from __future__ import annotations

from pathlib import Path

import click

from api.cli.exit_codes import ExitCode, exit_codes_help
from api.cli.number_options import WholeNumber
from api.cli.render import remark, write

HIGHEST_PORT = 65535


@click.command(epilog=exit_codes_help())
@click.option("--host", help="Address to listen on; usually this computer alone.")
@click.option("--port", type=WholeNumber(0, HIGHEST_PORT), help="Port to listen on, usually 8000; 0 takes any free.")
@click.option(
    "--tables",
    type=click.Path(path_type=Path),
    help="Folder of tables or release to serve; by default $WETTED_TABLES, else those of the program.",
)
@click.option("--workers", type=WholeNumber(1), help="Processes that serve, usually one.")
@click.option("--settings", "file", type=click.Path(path_type=Path), help="TOML file with settings.")
@click.option("--show-settings", is_flag=True, help="Print all settings with their meaning and origin, and stop.")
def serve(
    host: str | None, port: int | None, tables: Path | None, workers: int | None, file: Path | None, show_settings: bool
) -> ExitCode:
    """Serve the JSON API until stopped.

    Every setting can be given in a TOML file or as WETTED_<NAME> in the environment, too; the command line goes
    before the environment, the environment before the file. Variables by which a cluster tells where a service named
    wetted is, such as WETTED_PORT=tcp://..., are left alone.
    """
    from api.http.settings import SettingsError, read_settings, settings_text  # noqa: PLC0415

    try:
        given = {"host": host, "port": port, "tables": str(tables) if tables else None, "workers": workers}
        read = read_settings(given, file=file)
    except SettingsError as error:
        raise click.UsageError(str(error)) from None
    if show_settings:
        write(settings_text(read))
        return ExitCode.DONE
    from api.http.responses.logs import configure_logs  # noqa: PLC0415
    from api.http.server.serve import serve as serve_http  # noqa: PLC0415

    configure_logs()
    if read.unknown:
        import logging  # noqa: PLC0415 - no other command needs it

        logging.getLogger("wetted.settings").warning("no settings, so nobody reads them: %s", ", ".join(read.unknown))
    settings = read.settings
    try:
        serve_http(settings)
    except SystemExit:  # the server's way to say that it cannot start, with codes that mean other things here
        remark(f"cannot serve on {settings.host} port {settings.port}")
        return ExitCode.FAILED
    return ExitCode.DONE


SERVICE_COMMANDS: tuple[click.Command, ...] = (serve,)
