"""The command `wetted tables release`.

Owns: its arguments, and adding the description of the HTTP service. Does not own: the release (`kb/curation/release/`).
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from api.cli.exit_codes import ExitCode, exit_codes_help
from api.cli.render import write

if TYPE_CHECKING:
    from kb.store.frozen import BuiltTables


@click.command(epilog=exit_codes_help())
@click.argument("target", metavar="FOLDER", type=click.Path(path_type=Path))
@click.option("--since", metavar="REV", help="Git revision or folder of tables that the changelog begins with.")
@click.option("--replace", is_flag=True, help="Replace the release that stands in FOLDER.")
@click.option("--json", "as_json", is_flag=True, help="Print what was built as JSON.")
@click.option("--folder", type=click.Path(path_type=Path), help="Folder of the tables; by default those of wetted.")
def release(target: Path, since: str | None, replace: bool, as_json: bool, folder: Path | None) -> ExitCode:
    """Build a release of the tables in FOLDER.

    It holds a DuckDB file, CSV and Parquet, JSON Schema, the description of the service, a data package, checksums,
    changelog, citation and licences. The same tables give the same bytes, but for the DuckDB file.
    """
    from kb.curation.release.build import build_release  # noqa: PLC0415
    from kb.load import TABLES_FOLDER, load_tables  # noqa: PLC0415

    taken = folder or TABLES_FOLDER
    tables = load_tables(taken)
    build_release(target, tables, taken, since, {"openapi.json": _openapi(tables)}, replace)
    reported = {"folder": str(target), "version": tables.version, "digest": tables.digest}
    write(json.dumps(reported, indent=2) + "\n" if as_json else f"{target} holds release {tables.full_version}\n")
    return ExitCode.DONE


def _openapi(tables: BuiltTables) -> bytes:
    from api.http.app import create_app  # noqa: PLC0415
    from api.http.openapi.openapi import describe  # noqa: PLC0415
    from kb.knowledge_base import KnowledgeBase  # noqa: PLC0415
    from kb.store.snapshot import Snapshot  # noqa: PLC0415

    base = KnowledgeBase(Snapshot(tables))
    return (json.dumps(describe(create_app(base), base), indent=2, ensure_ascii=False) + "\n").encode()
