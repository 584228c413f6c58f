"""The command `wetted tables new`.

Owns: its arguments and lines. Does not own: what a row needs (`kb/curation/rows/new_row.py`) or asking for it
(`api/cli/tables/row_questions.py`).
"""

from __future__ import annotations

import json
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from api.cli.exit_codes import ExitCode, exit_codes_help
from api.cli.render import remark, write

if TYPE_CHECKING:
    from kb.curation.rows.new_row import Draft, RowRefusedError
    from kb.curation.rows.table_lines import PlacedLine

MOST_FAULTS = 20
_EXAMPLES = """\b
Examples:
  wetted tables new tube
  wetted tables new rule --set topic=contact --set subject_id=metal/copper ...
  wetted tables new rule ... --set condition-1.quantity_id=quantity/ph ...
  wetted tables new fitting ... --set end-a.end_kind=barb ... --dry-run
  wetted tables new tube ... --set source.title="..." ... --no-input
"""


@click.command(epilog=f"{_EXAMPLES}\n{exit_codes_help()}")
@click.argument("kind")
@click.option(
    "--set",
    "settings",
    multiple=True,
    metavar="COLUMN=VALUE",
    help="Fill a column; end-a.COLUMN, condition-1.COLUMN, source.COLUMN fill rows that are written with it.",
)
@click.option("--alias", "aliases", multiple=True, metavar="WORDS", help="What spec sheets call the part.")
@click.option("--no-input", is_flag=True, help="Ask nothing; what is missing is an error.")
@click.option("--dry-run", is_flag=True, help="Show and judge the new lines, but write nothing.")
@click.option("--json", "as_json", is_flag=True, help="Print the new lines and their places as JSON.")
@click.option("--folder", type=click.Path(path_type=Path), help="Folder of the tables; by default those of wetted.")
def new(
    kind: str,
    settings: tuple[str, ...],
    aliases: tuple[str, ...],
    no_input: bool,
    dry_run: bool,
    as_json: bool,
    folder: Path | None,
) -> ExitCode:
    """Add a row of some KIND (tube, material, rule, source, fitting ...) to the tables, asking for what it needs.

    The id, a title, the unit and the day are proposed. A row that would break the tables changes no file.
    """
    from kb.curation.rows.kinds import table_of  # noqa: PLC0415 - so that the help answers at once
    from kb.curation.rows.new_row import RowIncompleteError, RowRefusedError, alias_draft, read_settings  # noqa: PLC0415
    from kb.load import TABLES_FOLDER  # noqa: PLC0415

    drafts = read_settings(table_of(kind), settings)
    drafts += [alias_draft(words, number) for number, words in enumerate(aliases, 1)]
    try:
        placed = _add(folder or TABLES_FOLDER, drafts, not no_input, dry_run)
    except RowIncompleteError as incomplete:
        for want in incomplete.wants:
            remark(f"{want.path} is missing ({want.what}): {want.fix} Give it with --set {want.path}=...")
        return ExitCode.NOT_A_QUESTION
    except RowRefusedError as refused:
        return _report_refusal(refused)
    _show(placed, as_json)
    remark("nothing was written (--dry-run)" if dry_run else "written; git diff shows it, git restore takes it back")
    return ExitCode.DONE


def _add(folder: Path, drafts: list[Draft], is_asking: bool, is_trial: bool) -> tuple[PlacedLine, ...]:
    from api.cli.tables.row_questions import ask_again, ask_rows  # noqa: PLC0415
    from kb.curation.rows.new_row import RowRefusedError, add_rows, fill  # noqa: PLC0415
    from kb.load import read_folder  # noqa: PLC0415
    from kb.store.typed_rows import read_tables  # noqa: PLC0415

    tables, _ = read_tables(read_folder(folder))
    today = date.today()
    if is_asking:
        ask_rows(drafts, tables, today)
    fill(drafts, tables, today)
    while True:
        try:
            return add_rows(folder, drafts, is_trial)
        except RowRefusedError as refused:
            if not is_asking or refused.is_older:
                raise
            _report_refusal(refused)
            if not ask_again(drafts, {fault.row_id for fault in refused.faults}, tables):
                raise


def _show(placed: tuple[PlacedLine, ...], as_json: bool) -> None:
    if as_json:
        write(json.dumps([asdict(line) for line in placed], indent=2, ensure_ascii=False) + "\n")
    else:
        write("".join(f"{line.file}:{line.line} {line.text}\n" for line in placed))


def _report_refusal(refused: RowRefusedError) -> ExitCode:
    if refused.is_older:
        remark("the tables have faults already, without the new row; fix these first (wetted tables check):")
    else:
        remark("nothing was written; with the new row the tables would be refused:")
    for fault in refused.faults[:MOST_FAULTS]:
        remark(str(fault))
    if len(refused.faults) > MOST_FAULTS:
        remark(f"and {len(refused.faults) - MOST_FAULTS} more")
    return ExitCode.TABLES_REFUSED
