"""The command `wetted bulk`: a file of questions in, the same file with verdicts out.

Owns: its arguments, its help text, the bar that shows how far it is, and the last line. Does not own: the work
(`kb/bulk/`, imported late).
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from api.cli.exit_codes import ExitCode, exit_codes_help
from api.cli.render import remark

if TYPE_CHECKING:
    from kb.bulk.run import BulkReport, Progress

KINDS = ("pair",)


@click.command(epilog=exit_codes_help())
@click.argument("source", metavar="IN", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@click.argument("target", metavar="OUT", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--kind", type=click.Choice(KINDS), default="pair", show_default=True, help="What every row asks.")
def bulk(source: Path, target: Path, kind: str) -> ExitCode:  # noqa: ARG001 - one kind so far
    """Judge every row of a file: IN and OUT are .csv or .parquet.

    IN has the columns a and b, each an id or the JSON of a part, and may have further ones named after circumstances
    that rules ask for, such as coolant-temperature. OUT gets the same rows in the same order, with the columns verdict,
    code, decided_by, error and kb_version. A row that cannot be judged gets an error and no verdict.

    OUT appears whole, at the end. A run that was stopped goes on where it was when the same command is given again.
    """
    from api.http.requests.strict_json import parse_json  # noqa: PLC0415
    from kb import load  # noqa: PLC0415
    from kb.bulk.run import BulkJob, answer_pairs  # noqa: PLC0415

    start = time.monotonic()
    with _bar(source.name) as on_progress:
        report = answer_pairs(load(), BulkJob(source, target, parse_json), on_progress)
    remark(_last_line(report, time.monotonic() - start))
    return ExitCode.DONE


@contextmanager
def _bar(title: str) -> Iterator[Callable[[Progress], None]]:
    """Show a bar on standard error, if a person looks at it."""
    from rich import progress as rich_progress  # noqa: PLC0415
    from rich.console import Console  # noqa: PLC0415

    console = Console(stderr=True)
    text, share, left = "{task.description}", rich_progress.TaskProgressColumn(), rich_progress.TimeRemainingColumn()
    columns = (rich_progress.TextColumn(text), rich_progress.BarColumn(), share, left)
    with rich_progress.Progress(*columns, console=console, disable=not console.is_terminal, transient=True) as bar:
        task = bar.add_task(title, total=1.0)

        def on_progress(progress: Progress) -> None:
            judging = f", {progress.judged:,} questions judged" if progress.judged else ""
            bar.update(task, completed=progress.share, description=f"{progress.rows:,} rows{judging}")

        yield on_progress


def _last_line(report: BulkReport, seconds: float) -> str:
    from schemas.verdict import Verdict  # noqa: PLC0415

    tally = report.tally
    counts = ", ".join(f"{count:,} {verdict}" for verdict, count in zip(Verdict, tally.verdicts, strict=True))
    taken_up = f" ({report.taken_up:,} of them by an earlier run)" if report.taken_up else ""
    errors = f", {tally.errors:,} in error" if tally.errors else ""
    return f"{tally.rows:,} rows in {seconds:.1f} s{taken_up}: {counts}{errors}; tables {report.version}"


BULK_COMMANDS: tuple[click.Command, ...] = (bulk,)
