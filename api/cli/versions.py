"""What `wetted --version` says, without loading what answers questions.

Owns: the version of the program and of the tables it answers from. Does not own: loading tables (`kb/`).
"""

from __future__ import annotations

import os
from importlib.util import find_spec
from pathlib import Path

from api import __version__


def version_line() -> str:
    """Return the version of the program and the calendar version of the tables that answer.

    Raises:
        TablesRefusedError: if $WETTED_TABLES names tables that cannot be loaded.
        OSError: if the tables of the program have no version.
    """
    return f"wetted {__version__}, tables {_tables_version()}"


def _tables_version() -> str:
    if os.environ.get("WETTED_TABLES"):
        from kb import load  # noqa: PLC0415 - a third of a second

        return load().version.partition("+")[0]
    spec = find_spec("kb")  # where it lies, without importing it
    [project] = (spec and spec.submodule_search_locations) or [""]
    return (Path(project) / "tables" / "VERSION").read_text(encoding="utf-8").strip()
