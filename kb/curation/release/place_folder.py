"""A whole folder that appears at once.

Owns: putting a finished folder in its place, or in that of another. Does not own: what is in it.

Linux can exchange two folders in one step (`renameat2`), so a crash leaves the old folder or the new one. Where the
system cannot, the old folder is first renamed to `.NAME.before`; a crash between the two steps leaves it there.
"""

from __future__ import annotations

import ctypes
import os
import shutil
from contextlib import AbstractContextManager
from pathlib import Path

from kb.store.temp_folder import temporary_folder

_HERE = -100  # AT_FDCWD: relative names start in the working folder
_EXCHANGE = 2  # RENAME_EXCHANGE
FOLDER_MODE = 0o755
FILE_MODE = 0o644


def folder_in_the_making(target: Path) -> AbstractContextManager[Path]:
    """Give an empty folder beside the target; whatever is left of it afterwards, or of builds killed before, goes."""
    return temporary_folder(target.parent, building_prefix(target))


def building_prefix(target: Path) -> str:
    """Return how the names of folders begin in which the target is built."""
    return f".{target.name}.building-"


def settle(folder: Path) -> None:
    """Give every file the same permissions whoever built it, and see it onto the disk."""
    for path in sorted(folder.rglob("*")):
        path.chmod(FOLDER_MODE if path.is_dir() else FILE_MODE)
        if path.is_file():
            with path.open("rb") as file:
                os.fsync(file.fileno())
    folder.chmod(FOLDER_MODE)


def place(draft: Path, target: Path) -> None:
    """Put a finished folder in the place of the target, which may exist.

    Raises:
        OSError: if it cannot be placed; then the target is as it was.
    """
    if not target.exists():
        draft.rename(target)
    elif not _exchange(draft, target):
        replaced = target.with_name(f".{target.name}.before")
        target.rename(replaced)
        draft.rename(target)
        shutil.rmtree(replaced)


def _exchange(one: Path, other: Path) -> bool:
    """Exchange two folders in one step; return whether the system could."""
    rename = getattr(ctypes.CDLL(None, use_errno=True), "renameat2", None)
    return rename is not None and rename(_HERE, os.fsencode(one), _HERE, os.fsencode(other), _EXCHANGE) == 0
