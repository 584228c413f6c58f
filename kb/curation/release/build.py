"""Building a release: one folder with everything, there whole or not at all.

Owns: which files a release has, their checksums, and when a folder may be replaced. Does not own: single files.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

from kb.curation.release.data_package import data_package
from kb.curation.release.json_schemas import answer_schemas, question_schemas
from kb.curation.release.place_folder import folder_in_the_making, place, settle
from kb.curation.release.texts import changelog, citation, readme
from kb.store.faults import QuestionError
from kb.store.frozen import BuiltTables
from kb.store.release_marker import DATABASE_FILE, MARKER_FILE, marker_from_json, marker_of
from kb.store.release_tables import csv_of, write_database, write_parquet

CHECKSUMS_FILE = "SHA256SUMS"
LICENCE_FILES = ("LICENSE", "LICENSE-DATA.md")
_CHECKOUT = Path(__file__).parents[3]
_PROGRAM = "wetted"


def build_release(
    target: Path,
    tables: BuiltTables,
    folder: Path,
    since: str | None = None,
    documents: Mapping[str, bytes] | None = None,
    replace: bool = False,
) -> None:
    """Build the release of tables in a folder that appears whole or not at all.

    Args:
        target: the folder to make; the one it stands in must exist.
        tables: the validated tables.
        folder: folder they were loaded from, for the changelog.
        since: git revision or folder of tables that the changelog begins with.
        documents: further files, by name.
        replace: whether an older release may stand there; it is gone afterwards.

    Raises:
        QuestionError: if something else stands there, or `since` names no tables.
        OSError: if a file cannot be read or written.
    """
    _require_place(target, replace)
    texts = _texts(tables, folder, since) | dict(documents or {})
    with folder_in_the_making(target) as draft:
        for name, content in texts.items():
            (draft / name).parent.mkdir(exist_ok=True)
            (draft / name).write_bytes(content)
        (draft / "parquet").mkdir()
        write_parquet(draft / "parquet", tables.rows, marker_of(tables))
        (draft / CHECKSUMS_FILE).write_bytes(_checksums(draft))
        write_database(draft / DATABASE_FILE, tables.rows, marker_of(tables))
        settle(draft)
        place(draft, target)


def _texts(tables: BuiltTables, folder: Path, since: str | None) -> dict[str, bytes]:
    tables_as_csv = {name: csv_of(name, rows) for name, rows in tables.rows.items()}
    return {
        "README.md": readme(tables),
        "CHANGELOG.md": changelog(tables, since, folder),
        "CITATION.cff": citation(tables),
        MARKER_FILE: marker_of(tables).to_json(),
        "datapackage.json": data_package(tables, tables_as_csv),
        "schemas/questions.json": question_schemas(tables.rows["quantities"]),
        "schemas/answers.json": answer_schemas(),
        **{name: _licence(name) for name in LICENCE_FILES},
        **{f"csv/{name}.csv": content for name, content in tables_as_csv.items()},
    }


def _licence(name: str) -> bytes:
    """Return the text of a licence: from the checkout or, where the program is installed, from its own record."""
    is_checkout = (_CHECKOUT / "pyproject.toml").is_file()  # beside installed packages may lie anybody's LICENSE
    text = None if is_checkout else _installed_text(f"licenses/{name}")
    return (_CHECKOUT / name).read_bytes() if text is None else text.encode()


def _installed_text(name: str) -> str | None:
    try:
        return distribution(_PROGRAM).read_text(name)
    except PackageNotFoundError:
        return None


def _checksums(folder: Path) -> bytes:
    """Return the SHA-256 of every file there is so far, in the form that `sha256sum -c` reads."""
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    lines = (
        f"{hashlib.sha256(path.read_bytes()).hexdigest()}  {path.relative_to(folder).as_posix()}" for path in files
    )
    return ("\n".join(lines) + "\n").encode()


def _require_place(target: Path, replace: bool) -> None:
    if not (target.exists() or target.is_symlink()):
        return
    if not _is_release(target):
        raise QuestionError("folder", f"{target} is there and is no release", "name a folder that does not exist yet")
    if not replace:
        raise QuestionError("folder", f"{target} holds a release", "name another folder, or give --replace")
    foreign = _foreign_files(target)
    if foreign:
        what = f"{target} holds files that no release has: {', '.join(foreign[:3])}"
        raise QuestionError("folder", what, "move them away; the whole folder is replaced")


def _is_release(target: Path) -> bool:
    try:
        marker_from_json((target / MARKER_FILE).read_bytes())
    except (OSError, ValueError):
        return False
    return not target.is_symlink()


def _foreign_files(target: Path) -> list[str]:
    try:
        listed = {line.split("  ", 1)[1] for line in (target / CHECKSUMS_FILE).read_text("utf-8").splitlines()}
    except (OSError, ValueError, IndexError):
        listed = set()
    own = listed | {CHECKSUMS_FILE, DATABASE_FILE, MARKER_FILE}
    files = (path.relative_to(target).as_posix() for path in target.rglob("*") if not path.is_dir())
    return sorted(set(files) - own)
