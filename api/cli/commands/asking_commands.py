"""The commands that ask: pair, partners, between, find, loop.

Owns: their arguments and help texts. Does not own: carrying them out (`api/cli/commands/asking.py`, imported late so
that `wetted --help` stays quick).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, get_args

import click

from api.cli.exit_codes import ExitCode, exit_codes_help
from api.cli.number_options import WholeNumber
from schemas.questions.choices import PartnerKind, Section

as_json_option: Callable[[Any], Any] = click.option(
    "--json", "as_json", is_flag=True, help="Print the answer as JSON: every number, with row and source."
)

conditions_option: Callable[[Any], Any] = click.option(
    "--condition",
    "conditions",
    multiple=True,
    metavar="NAME=NUMBER",
    help="A circumstance, such as coolant-temperature=45 (degC). May be given several times.",
)


met_option: Callable[[Any], Any] = click.option(
    "--met",
    "met",
    multiple=True,
    metavar="REQUIREMENT",
    help="A requirement that you state to be met, such as hose-clamp. May be given several times.",
)


def limit_option(default: int) -> Callable[[Any], Any]:
    """Return the option for the most results to show."""
    return click.option("--limit", type=WholeNumber(), default=default, show_default=True, help="Most results to show.")


@click.command(epilog=exit_codes_help())
@click.argument("a", metavar="A")
@click.argument("b", metavar="B")
@conditions_option
@met_option
@as_json_option
def pair(a: str, b: str, conditions: tuple[str, ...], met: tuple[str, ...], as_json: bool) -> ExitCode:
    """Are these two parts compatible?

    A and B are ids, JSON, @FILE or the words of a spec sheet.
    """
    from api.cli.commands import asking  # noqa: PLC0415

    return asking.ask_pair(a, b, conditions, met, as_json)


@click.command(epilog=exit_codes_help())
@click.argument("part")
@click.option(
    "--kind",
    type=click.Choice(get_args(PartnerKind)),
    default="fitting",
    show_default=True,
    help="Which kind to look for.",
)
@limit_option(20)
@as_json_option
def partners(part: str, kind: str, limit: int, as_json: bool) -> ExitCode:
    """Which parts fit this one? Best first."""
    from api.cli.commands import asking  # noqa: PLC0415

    return asking.ask_partners(part, kind, limit, as_json)


@click.command(epilog=exit_codes_help())
@click.argument("a", metavar="A")
@click.argument("b", metavar="B")
@limit_option(10)
@as_json_option
def between(a: str, b: str, limit: int, as_json: bool) -> ExitCode:
    """What goes between these two parts? Fewest fittings first."""
    from api.cli.commands import asking  # noqa: PLC0415

    return asking.ask_between(a, b, limit, as_json)


@click.command(epilog=exit_codes_help())
@click.argument("words", nargs=-1, required=True)
@limit_option(10)
@as_json_option
def find(words: tuple[str, ...], limit: int, as_json: bool) -> ExitCode:
    """Which parts can spec-sheet words mean? Likeliest first."""
    from api.cli.commands import asking  # noqa: PLC0415

    return asking.ask_find(" ".join(words), limit, as_json)


@click.command(epilog=exit_codes_help())
@click.argument("file")
@click.option(
    "--section",
    "sections",
    type=click.Choice([section.value for section in Section]),
    multiple=True,
    help="Judge this section alone; may be given several times. By default all that the file gives figures for.",
)
@met_option
@as_json_option
def loop(file: str, sections: tuple[str, ...], met: tuple[str, ...], as_json: bool) -> ExitCode:
    """Can this loop be assembled and do its work, and what is missing?

    FILE holds the loop as JSON: parts, runs between them, coolant, heat, fans, places; - reads it from standard input,
    example/first-loop and the like are loops that come with the program.
    """
    from api.cli.commands import asking  # noqa: PLC0415

    return asking.ask_loop(file, sections, met, as_json)


ASKING_COMMANDS: tuple[click.Command, ...] = (pair, partners, between, find, loop)
