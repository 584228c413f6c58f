"""How far a bulk run has come: what a run that was killed has finished already.

Owns: the work folder beside the answer, the list of finished slices in it, and that only one run uses it. Does not own:
the slices.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from kb.bulk.answering import Tally
from kb.bulk.csv_faults import file_fault

JOURNAL, DRAFT, LOCK = "journal.json", "draft.json", "lock"


class Finished(NamedTuple):
    """One slice that has been answered and written.

    Attributes:
        file: name of its file in the work folder.
        end: where the next slice begins.
        tally: how its rows came out.
    """

    file: str
    end: int
    tally: Tally


class Journal:
    """The finished slices of one run, on disk before the next slice begins."""

    def __init__(self, folder: Path, key: str) -> None:
        """Take up what an earlier run of the same key has finished; anything else in the folder is deleted.

        Args:
            folder: the work folder, held by this run.
            key: names the question: the input as it is, the tables and the form of the answer.
        """
        self.folder, self._key = folder, key
        self.finished = _read(folder / JOURNAL, key)
        kept = {one.file for one in self.finished}
        if any(not (folder / name).is_file() for name in kept):
            self.finished, kept = [], set()
        for path in folder.iterdir():
            if path.name not in {*kept, JOURNAL, LOCK}:
                shutil.rmtree(path) if path.is_dir() else path.unlink()

    @property
    def end(self) -> int:
        """Where the first slice begins that is not finished."""
        return self.finished[-1].end if self.finished else 0

    def next_file(self, suffix: str) -> Path:
        """Return the file for the next slice."""
        return self.folder / f"part-{len(self.finished):06d}{suffix}"

    def add(self, file: Path, end: int, tally: Tally) -> None:
        """Note a slice whose file is written."""
        synced(file)
        self.finished.append(Finished(file.name, end, tally))
        draft = self.folder / DRAFT
        draft.write_text(json.dumps({"key": self._key, "finished": self.finished}), encoding="utf-8")
        synced(draft)
        draft.replace(self.folder / JOURNAL)

    def tally(self) -> Tally:
        """Return how all rows came out so far."""
        total = Tally()
        for one in self.finished:
            total = total.plus(one.tally)
        return total


@contextlib.contextmanager
def work_folder(target: Path) -> Iterator[Path]:
    """Hold the folder in which the answer grows; it is beside the answer, so that it can take its place at once.

    Args:
        target: file of the answer.

    Raises:
        QuestionError: if another run is at work on the same answer.
        OSError: if there can be no such folder.
    """
    folder = target.parent / f".{target.name}.bulk"
    folder.mkdir(exist_ok=True)
    with (folder / LOCK).open("w") as lock:
        if not _is_locked_now(lock.fileno()):
            raise file_fault(target, "is being written by another run", "wait for it, or name another file")
        yield folder


def synced(path: Path) -> None:
    """Wait until a file is on the disk."""
    with path.open("rb") as file:
        os.fsync(file.fileno())


def _is_locked_now(descriptor: int) -> bool:
    try:
        import fcntl  # noqa: PLC0415 - not on every system; without it, two runs are the asker's own care
    except ImportError:
        return True
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _read(path: Path, key: str) -> list[Finished]:
    try:
        said = json.loads(path.read_text(encoding="utf-8"))
        if said["key"] != key:
            return []
        return [
            Finished(file, end, Tally(rows, tuple(verdicts), errors))
            for file, end, (rows, verdicts, errors) in said["finished"]
        ]
    except (OSError, ValueError, TypeError, KeyError):
        return []
