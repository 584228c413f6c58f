"""The commands that read the tables: show, list, version.

Owns: their arguments and help texts. Does not own: carrying them out (`api/cli/commands/reading.py`, imported late).
"""

from __future__ import annotations

import click

from api.cli.commands.asking_commands import as_json_option
from api.cli.exit_codes import ExitCode, exit_codes_help
from api.cli.number_options import WholeNumber

LARGEST_PAGE = 1000


@click.command(epilog=exit_codes_help())
@click.argument("row_id", metavar="ID")
@as_json_option
def show(row_id: str, as_json: bool) -> ExitCode:
    """Show one row of any table, with its source."""
    from api.cli.commands import reading  # noqa: PLC0415

    return reading.show_row(row_id, as_json)


@click.command(name="list", epilog=exit_codes_help())
@click.argument("table")
@click.option("--family", metavar="FAMILY", help="Only rows of this family, such as family/tube-soft.")
@click.option("--after", metavar="ID", help="Only rows whose id sorts after this one.")
@click.option(
    "--limit",
    type=WholeNumber(1, LARGEST_PAGE),
    default=50,
    show_default=True,
    help="Most rows to show.",
)
@as_json_option
def list_rows(table: str, family: str | None, after: str | None, limit: int, as_json: bool) -> ExitCode:
    """List the rows of a table, such as tubes. `wetted version` names all tables."""
    from api.cli.commands import reading  # noqa: PLC0415

    return reading.list_rows(table, family, after, limit, as_json)


@click.command(epilog=exit_codes_help())
@as_json_option
def version(as_json: bool) -> ExitCode:
    """Say which tables are loaded, and how many rows each has."""
    from api.cli.commands import reading  # noqa: PLC0415

    return reading.show_version(as_json)


READING_COMMANDS: tuple[click.Command, ...] = (show, list_rows, version)
