"""Folders in the making, and what is left of them when their writer is killed.

Owns: making such a folder beside its target, holding it for as long as its writer lives, and sweeping those that nobody
holds any more. Does not own: what is written, or putting it in its place.
A writer holds a lock on its temporary folder, which the system lets go of when the writer ends, however it ends. So a
sweep disturbs no living writer, and rubbish of dead ones stays no longer than until the next one begins.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import time
from collections.abc import Iterator
from pathlib import Path
from tempfile import mkdtemp

TEMPORARY_PREFIX = ".writing-"  # of files in the cache
OLDEST_TEMPORARY_S = 3600.0  # counts only where nothing can be locked; writing takes seconds


@contextlib.contextmanager
def temporary_folder(place: Path, prefix: str) -> Iterator[Path]:
    """Give an empty folder to write in; what is left of it afterwards is deleted, as are temporary folders of dead
    writers.

    Args:
        place: folder that it shall stand in.
        prefix: begins its name; temporary folders of one kind share it.

    Raises:
        OSError: if there can be no such folder.
    """
    sweep_temporary_folders(place, prefix)
    folder, held = _held_folder(place, prefix)
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)
        if held is not None:
            os.close(held)


def sweep_temporary_folders(place: Path, prefix: str) -> int:
    """Delete temporary folders whose writers are dead.

    Args:
        place: folder that they stand in.
        prefix: begins their names.

    Returns:
        how many there were.
    """
    named = [path for path in place.iterdir() if path.name.startswith(prefix)]
    return sum(_swept(draft) for draft in named if draft.is_dir() and not draft.is_symlink())


def _held_folder(place: Path, prefix: str) -> tuple[Path, int | None]:
    """Return a new folder and the descriptor that holds it; another one if a sweep came between the two."""
    while True:
        folder = Path(mkdtemp(dir=place, prefix=prefix))
        try:
            held = _held(folder, wait=True)
        except FileNotFoundError:
            continue
        if folder.exists():
            return folder, held
        if held is not None:
            os.close(held)


def _swept(draft: Path) -> bool:
    try:
        held = _held(draft, wait=False)
    except OSError:  # its writer lives, or it is gone
        return False
    try:
        if held is None and time.time() - draft.stat().st_mtime < OLDEST_TEMPORARY_S:
            return False
        shutil.rmtree(draft, ignore_errors=True)
        return True
    except FileNotFoundError:
        return False
    finally:
        if held is not None:
            os.close(held)


def _held(folder: Path, wait: bool) -> int | None:
    """Lock a folder and return the descriptor that keeps the lock; `None` where folders cannot be locked.

    Raises:
        FileNotFoundError: if it is gone.
        BlockingIOError: if somebody else holds it, and nobody wants to wait.
    """
    try:
        import fcntl  # noqa: PLC0415 - not on every system
    except ImportError:
        return None
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except BlockingIOError:
        os.close(descriptor)
        raise
    except OSError:  # a file system without locks
        os.close(descriptor)
        return None
    return descriptor
