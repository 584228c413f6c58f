"""The commands that ask about substances: fluids, materials, matrix, mix.

Owns: their arguments and help texts. Does not own: carrying them out (`api/cli/commands/chemistry_asking.py`, imported
late).
"""

from __future__ import annotations

import click

from api.cli.commands.asking_commands import as_json_option, conditions_option, limit_option
from api.cli.exit_codes import ExitCode, exit_codes_help
from api.cli.number_options import Number

GLYCOLS = ("propylene-glycol", "ethylene-glycol")


@click.command(epilog=exit_codes_help())
@click.argument("parts", metavar="PART...", nargs=-1, required=True)
@click.option(
    "--additive",
    "additives",
    multiple=True,
    metavar="ID",
    help="What is added to the fluid. May be given several times.",
)
@conditions_option
@limit_option(20)
@as_json_option
def fluids(
    parts: tuple[str, ...], additives: tuple[str, ...], conditions: tuple[str, ...], limit: int, as_json: bool
) -> ExitCode:
    """Which fluids are compatible with all these materials or parts? Best first.

    Each PART is a material (metal/copper) or a part whose materials are usual or given in its JSON.
    """
    from api.cli.commands import chemistry_asking  # noqa: PLC0415

    return chemistry_asking.ask_fluids(parts, additives, conditions, limit, as_json)


@click.command(epilog=exit_codes_help())
@click.argument("fluid")
@click.option("--family", metavar="FAMILY", help="Only materials of this family, such as family/plastic.")
@conditions_option
@limit_option(100)
@as_json_option
def materials(fluid: str, family: str | None, conditions: tuple[str, ...], limit: int, as_json: bool) -> ExitCode:
    """Which materials are compatible with this fluid? Best first."""
    from api.cli.commands import chemistry_asking  # noqa: PLC0415

    return chemistry_asking.ask_materials(fluid, family, conditions, limit, as_json)


@click.command(epilog=exit_codes_help())
@click.argument("rows")
@click.argument("columns")
@conditions_option
@click.option("--csv", "as_csv", is_flag=True, help="Print a line a cell: row,column,verdict,decided_by.")
@as_json_option
def matrix(rows: str, columns: str, conditions: tuple[str, ...], as_csv: bool, as_json: bool) -> ExitCode:
    """How do all members of two families get on?

    ROWS and COLUMNS are families of materials, fluids or additives, such as family/metal and family/water.
    """
    if as_csv and as_json:
        raise click.UsageError("--csv and --json are both given; keep one")
    from api.cli.commands import chemistry_asking  # noqa: PLC0415

    return chemistry_asking.ask_matrix(rows, columns, conditions, as_csv, as_json)


@click.command(epilog=exit_codes_help())
@click.argument("glycol", type=click.Choice(GLYCOLS))
@click.option("--parts", required=True, metavar="C:W", help="Parts of concentrate to parts of water, such as 1:3.")
@click.option(
    "--concentrate-share",
    "share",
    type=Number(),
    default=100.0,
    show_default=True,
    help="Glycol in the concentrate by volume, in percent; its label says it.",
)
@click.option(
    "--temperature", type=Number(), default=25.0, show_default=True, help="Temperature of the properties, in degC."
)
@as_json_option
def mix(glycol: str, parts: str, share: float, temperature: float, as_json: bool) -> ExitCode:
    """What comes of mixing a glycol concentrate with water?

    The exit code is the verdict on the share of glycol.
    """
    from api.cli.commands import chemistry_asking  # noqa: PLC0415

    return chemistry_asking.ask_mix(glycol, parts, share, temperature, as_json)


CHEMISTRY_COMMANDS: tuple[click.Command, ...] = (fluids, materials, matrix, mix)
