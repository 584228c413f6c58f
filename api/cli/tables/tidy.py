"""The command `wetted tables tidy`.

Owns: its arguments and lines. Does not own: what is repaired (`kb/curation/rows/tidy.py`) or writing files
(`kb/curation/rows/write_files.py`).
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from api.cli.exit_codes import ExitCode, exit_codes_help
from api.cli.render import remark, write

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from kb.curation.rows.tidy import Tidied


@click.command(epilog=exit_codes_help())
@click.option("--folder", type=click.Path(path_type=Path), help="Folder of the tables; by default those of wetted.")
@click.option("--check", "is_check", is_flag=True, help="Write nothing; exit code 3 if a table is not tidy.")
def tidy(folder: Path | None, is_check: bool) -> ExitCode:
    """Repair the form of the tables without changing a value.

    Line ends, quotes, order of rows and columns, outer blanks, style of numbers and days. What could mean two
    things is left for `wetted tables check` to report. All files are written, or none.
    """
    from kb.curation.rows.tidy import tidy as tidy_table  # noqa: PLC0415 - so that the help answers at once
    from kb.load import TABLES_FOLDER, read_folder  # noqa: PLC0415
    from schemas.tables import ROW_CLASSES  # noqa: PLC0415

    tidied = folder or TABLES_FOLDER
    files = {file: content for file, content in read_folder(tidied).items() if file.removesuffix(".csv") in ROW_CLASSES}
    done = [tidy_table(file, content) for file, content in files.items()]
    if not is_check and not _write(tidied, files, done):
        return ExitCode.FAILED
    for line in _lines(done, is_check):
        write(f"{line}\n")
    has_left = any(one.left for one in done)
    is_refused = has_left or (is_check and any(one.repairs for one in done))
    return ExitCode.TABLES_REFUSED if is_refused else ExitCode.DONE


def _write(folder: Path, files: Mapping[str, bytes], done: Sequence[Tidied]) -> bool:
    from kb.curation.rows.write_files import FileChange, FileChangedError, change_files  # noqa: PLC0415

    try:
        change_files([FileChange(folder / one.file, files[one.file], one.content) for one in done if one.repairs])
    except FileChangedError as changed:
        remark(str(changed))
        return False
    return True


def _lines(done: Sequence[Tidied], is_check: bool) -> list[str]:
    word = "would repair" if is_check else "repaired"
    lines = [f"{one.file}: {word} {', '.join(one.repairs)}" for one in done if one.repairs]
    lines += [f"left as it is: {fault}" for one in done for fault in one.left]
    return lines or ["all tables are tidy"]
