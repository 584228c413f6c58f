"""The command `wetted tables diff`.

Owns: its arguments and the choice of form. Does not own: finding or wording changes (`kb/curation/diff/`).
"""

from __future__ import annotations

import sys
from pathlib import Path

import click

from api.cli.exit_codes import ExitCode, exit_codes_help
from api.cli.render import printable, write


@click.command(epilog=exit_codes_help())
@click.argument("before", metavar="REV")
@click.argument("after", metavar="[REV]", required=False)
@click.option("--loops", type=click.Path(path_type=Path), help="Folder of example loops; by default those of wetted.")
@click.option("--json", "as_json", is_flag=True, help="Print everything as JSON.")
@click.option("--markdown", "as_markdown", is_flag=True, help="Print a report to paste into a pull request.")
def diff(before: str, after: str | None, loops: Path | None, as_json: bool, as_markdown: bool) -> ExitCode:
    """Say what a change of the tables means: rows, verdicts of pairs and of example loops, and why.

    REV is a branch, tag or commit of the checkout, or a folder of tables. Without a second REV the first one is
    compared with the work tree.
    """
    from kb.curation.diff.diff import diff_tables  # noqa: PLC0415
    from kb.curation.diff.loops import read_loops  # noqa: PLC0415
    from kb.curation.diff.report import diff_markdown, diff_text  # noqa: PLC0415
    from kb.curation.diff.revisions import load_revision, load_work_tree  # noqa: PLC0415
    from kb.store.examples import EXAMPLES_FOLDER  # noqa: PLC0415

    if as_json and as_markdown:
        raise click.UsageError("--json and --markdown exclude one another")
    old = load_revision(before)
    new = load_revision(after) if after is not None else load_work_tree()
    answer = diff_tables(old, new, read_loops(loops or EXAMPLES_FOLDER))
    if as_json:
        write(answer.to_json_bytes(indent=2) + b"\n")
    else:
        text = diff_markdown(answer) if as_markdown else diff_text(answer)
        write(printable(text, getattr(sys.stdout, "encoding", None) or "utf-8"))
    return ExitCode.DONE
