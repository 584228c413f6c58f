"""The texts of a release that people read: what is in it, how to cite it, what has changed.

Owns: README, citation file and changelog. Does not own: finding or wording changes (`kb/curation/diff/`), licences
(they are copied as they stand).
"""

from __future__ import annotations

from pathlib import Path

from kb.curation.diff.diff import diff_tables
from kb.curation.diff.loops import read_loops
from kb.curation.diff.report import diff_markdown
from kb.curation.diff.revisions import Revision, load_revision
from kb.curation.release.data_package import CONTRIBUTORS, TITLE
from kb.store.frozen import BuiltTables

_README = """\
# wetted {version}

Tables of version `{full_version}`, SHA-256 of their canonical form `{digest}`.

| file | what |
| --- | --- |
| `wetted.duckdb` | all tables in one DuckDB file; `kb.load(folder)` and `WETTED_TABLES=folder wetted ...` read it |
| `csv/`, `parquet/` | one file a table, every column filled as the program sees it |
| `datapackage.json` | columns with types, units, keys, licences and sources (Data Package 2) |
| `schemas/` | JSON Schema of questions and answers |
| `openapi.json` | description of the HTTP service |
| `CHANGELOG.md` | what changed since the release before, by meaning |
| `CITATION.cff`, `LICENSE`, `LICENSE-DATA.md` | how to cite; code Apache-2.0, data CC BY 4.0 |
| `SHA256SUMS` | `sha256sum -c SHA256SUMS` checks all files but the DuckDB file; that one is checked on loading |

`wetted tables check --folder FOLDER` checks all of it: every file, and every row against every promise of the tables.
"""
_CITATION = """\
cff-version: 1.2.0
message: "If you use these tables, please cite them with the version you took."
type: dataset
title: "{title}"
authors:
  - name: "{contributors}"
version: "{version}"
license: CC-BY-4.0
identifiers:
  - type: other
    value: "sha256:{digest}"
    description: "SHA-256 over the canonical tables"
"""


def readme(tables: BuiltTables) -> bytes:
    """Return what is in the folder of a release."""
    words = _README.format(version=tables.version, full_version=tables.full_version, digest=tables.digest)
    return words.encode()


def citation(tables: BuiltTables) -> bytes:
    """Return the citation file (Citation File Format 1.2.0)."""
    words = _CITATION.format(title=TITLE, contributors=CONTRIBUTORS, version=tables.version, digest=tables.digest)
    return words.encode()


def changelog(tables: BuiltTables, since: str | None, folder: Path) -> bytes:
    """Return what changed since an earlier state of the tables, by meaning.

    Args:
        tables: the tables of the release.
        since: git revision or folder of the earlier ones; `None` if there is none to compare with.
        folder: folder of the tables inside the checkout.

    Raises:
        QuestionError: if there is no such state of the tables.
    """
    head = f"# Changes up to {tables.full_version}\n\n"
    if since is None:
        rows = sum(len(rows) for rows in tables.rows.values())
        return f"{head}Compared with nothing earlier: {len(tables.rows)} tables with {rows} rows.\n".encode()
    answer = diff_tables(load_revision(since, folder), Revision("this release", tables), read_loops())
    return f"{head}{diff_markdown(answer)}".encode()
