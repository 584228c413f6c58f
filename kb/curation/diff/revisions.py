"""A state of the tables by its name: a git revision of the checkout, or a folder.

Owns: finding the tables meant and loading them whole. Does not own: validation (`kb/load.py`).
Git is asked through fixed lists of arguments, never through a shell, and nothing in the checkout is changed.
"""

from __future__ import annotations

import subprocess
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from kb.checks import references_exist
from kb.load import TABLES_FOLDER, VERSION_FILE, VERSION_FORM, check_folder, read_folder
from kb.store.digest import tables_digest
from kb.store.faults import QuestionError, TablesRefusedError
from kb.store.frozen import BuiltTables
from kb.store.typed_rows import read_tables
from schemas.columns.columns import fields_of
from schemas.tables import ROW_CLASSES

WORK_TREE = "work tree"
LONGEST_REVISION = 200
SLOWEST_GIT_S = 60
FAULTS_NAMED = 3
_HEADER_FIELDS = 3  # of `git cat-file --batch`: object, kind, size
_FIX = "compare with a revision whose tables have today's columns"


@dataclass(frozen=True, slots=True)
class Revision:
    """A loaded state of the tables.

    Attributes:
        name: how it was named.
        tables: its rows.
    """

    name: str
    tables: BuiltTables


def load_work_tree(folder: Path = TABLES_FOLDER) -> Revision:
    """Load the tables as they stand now; every check must hold.

    Args:
        folder: folder of the tables.

    Raises:
        TablesRefusedError: with every fault found.
    """
    faults = check_folder(folder)
    if faults:
        raise TablesRefusedError(faults)
    return _revision(WORK_TREE, _files_of_folder(folder))


def load_revision(name: str, folder: Path = TABLES_FOLDER) -> Revision:
    """Load the tables of a git revision, or of a folder that holds tables.

    Form, types, ranges and references must hold as today. A check across tables that is younger than the revision need
    not hold, and a table that is younger counts as empty: a pull request that adds either can still be compared.

    Args:
        name: branch, tag, commit or path of a folder.
        folder: the tables inside the checkout that git is asked about.

    Raises:
        QuestionError: if there is no such revision or folder, git is missing, or today's code refuses its tables.
    """
    if _holds_tables(name):
        return _revision(name, _files_of_folder(Path(name)))
    return _revision(name, dict(_files_of_revision(name, folder)))


def _holds_tables(name: str) -> bool:
    try:
        return bool(name) and (Path(name) / VERSION_FILE).is_file()
    except (OSError, ValueError):  # no system takes it for a path
        return False


def _files_of_folder(folder: Path) -> dict[str, bytes]:
    return {**read_folder(folder), VERSION_FILE: (folder / VERSION_FILE).read_bytes()}


def _revision(name: str, files: Mapping[str, bytes]) -> Revision:
    version = files.get(VERSION_FILE, b"").decode("utf-8", "replace").strip()
    if not VERSION_FORM.fullmatch(version):
        raise QuestionError("revision", f"the tables of {name} have no version", _FIX)
    given = {file: content for file, content in files.items() if file != VERSION_FILE}
    read, faults = read_tables({**_empty_tables(), **given})
    faults = faults or list(references_exist.faults(read))
    if faults:
        first = "; ".join(str(fault) for fault in sorted(faults)[:FAULTS_NAMED])
        what = f"today's schemas refuse the tables of {name} with {len(faults)} faults, first: {first}"
        raise QuestionError("revision", what, _FIX)
    rows = {table: tuple(sorted(found, key=lambda row: row.id)) for table, found in read.rows.items()}
    return Revision(name, BuiltTables(MappingProxyType(rows), version, tables_digest(rows)))


def _empty_tables() -> dict[str, bytes]:
    """Return every table with its header alone: a table that is younger than a revision had no rows then."""
    heads = {name: [field.name for field in fields_of(row_class)] for name, row_class in ROW_CLASSES.items()}
    return {f"{name}.csv": (",".join(columns) + "\n").encode() for name, columns in heads.items()}


def _files_of_revision(name: str, folder: Path) -> Iterator[tuple[str, bytes]]:
    """Yield name and content of every table of a revision, exactly as they were committed."""
    commit = _commit(name, folder)
    prefix = _git(folder, "rev-parse", "--show-prefix").decode().strip().rstrip("/")
    tree = f"{commit}:{prefix}"
    listed = _git(folder, "ls-tree", "-z", "--full-tree", "--name-only", tree, what=f"{name} has no folder {prefix}")
    names = [one for one in listed.decode("utf-8", "replace").split("\0") if _is_table(one)]
    batch = _git(folder, "cat-file", "--batch", stdin="".join(f"{tree}/{one}\n" for one in names).encode())
    for file in names:
        header, _, batch = batch.partition(b"\n")
        words = header.split(b" ")
        if len(words) != _HEADER_FIELDS or words[1] != b"blob":
            raise QuestionError("revision", f"git cannot show {prefix}/{file} of {name}", "name another revision")
        size = int(words[2])
        yield file, batch[:size]
        batch = batch[size + 1 :]


def _is_table(file: str) -> bool:
    return (file == VERSION_FILE or file.lower().endswith(".csv")) and file == Path(file).name and "\n" not in file


def _commit(name: str, folder: Path) -> str:
    if not name or name.startswith("-") or len(name) > LONGEST_REVISION or not name.isprintable():
        raise QuestionError("revision", f"{name[:40]!r} is no revision", "name a branch, tag, commit or folder")
    what = f"no revision or folder of tables is called {name!r}"
    found = _git(folder, "rev-parse", "--verify", "--quiet", "--end-of-options", f"{name}^{{commit}}", what=what)
    return found.decode().strip()


def _git(folder: Path, *arguments: str, stdin: bytes = b"", what: str = "") -> bytes:
    command = ["git", "-C", str(folder), *arguments]
    try:
        done = subprocess.run(command, input=stdin, capture_output=True, timeout=SLOWEST_GIT_S, check=False)
    except FileNotFoundError:
        raise QuestionError("revision", "git is not installed", "install git, or name two folders") from None
    except subprocess.TimeoutExpired:
        raise QuestionError("revision", "git does not answer", "try again, or name two folders") from None
    if done.returncode != 0:
        said = done.stderr.decode("utf-8", "replace").strip().splitlines()[:1]
        words = " ".join([what or "git refuses", *(f"({line})" for line in said)])
        raise QuestionError("revision", words, "name a branch, tag, commit or folder of this checkout")
    return done.stdout
