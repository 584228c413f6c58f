"""The command `wetted tables cover`.

Owns: its arguments and the choice of form. Does not own: counting or wording (`kb/curation/coverage/`).
"""

from __future__ import annotations

import sys
from datetime import date, datetime
from pathlib import Path

import click

from api.cli.exit_codes import ExitCode, exit_codes_help
from api.cli.number_options import WholeNumber
from api.cli.render import printable, write


@click.command(epilog=exit_codes_help())
@click.option("--loops", type=click.Path(path_type=Path), help="Folder of example loops; by default those of wetted.")
@click.option(
    "--stale-days",
    type=WholeNumber(min=1),
    default=730,
    show_default=True,
    help="Days after which a row should be held against its source again.",
)
@click.option("--today", type=click.DateTime(["%Y-%m-%d"]), help="Day to count from; by default today.")
@click.option("--json", "as_json", is_flag=True, help="Print everything as JSON.")
@click.option("--markdown", "as_markdown", is_flag=True, help="Print the tables as Markdown.")
def cover(loops: Path | None, stale_days: int, today: datetime | None, as_json: bool, as_markdown: bool) -> ExitCode:
    """Say how far the tables reach: what they decide, on what evidence, and what is missing most."""
    from kb import load  # noqa: PLC0415
    from kb.curation.coverage.cover import cover_tables  # noqa: PLC0415
    from kb.curation.coverage.report import cover_markdown, cover_text  # noqa: PLC0415
    from kb.curation.diff.loops import read_loops  # noqa: PLC0415
    from kb.store.examples import EXAMPLES_FOLDER  # noqa: PLC0415

    if as_json and as_markdown:
        raise click.UsageError("--json and --markdown exclude one another")
    day = today.date() if today is not None else date.today()
    answer = cover_tables(load(), read_loops(loops or EXAMPLES_FOLDER), day, stale_days)
    if as_json:
        write(answer.to_json_bytes(indent=2) + b"\n")
    else:
        text = cover_markdown(answer) if as_markdown else cover_text(answer)
        write(printable(text, getattr(sys.stdout, "encoding", None) or "utf-8"))
    return ExitCode.DONE
