"""Several files changed together.

Owns: all changed or none, as far as a file system allows. Does not own: what is written.

Every new content is first written out whole beside its file. Only then do the files take their places, one after the
other, each at once. If one cannot, those before it are put back. A crash of the machine between two of them leaves the
first ones changed and the rest as they were, never half a file; so callers give first what others refer to.
"""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class FileChange:
    """New content for a file.

    Attributes:
        path: the file; it must exist.
        before: what it held when the change was made.
        after: what it shall hold.
    """

    path: Path
    before: bytes
    after: bytes


class FileChangedError(Exception):
    """A file was changed by somebody else meanwhile; nothing was written.

    Attributes:
        path: the file.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        super().__init__(f"{path} was changed meanwhile; nothing was written; try again")


def change_files(changes: Sequence[FileChange]) -> None:
    """Change all files, or none of them.

    Args:
        changes: at most one for each file; in order, so that what is referred to comes first.

    Raises:
        FileChangedError: if a file no longer holds what the change was made for.
        OSError: if a file cannot be written; those written before it are put back.
    """
    with contextlib.ExitStack() as stack:
        drafts = [(change, stack.enter_context(_draft(change.path, change.after))) for change in changes]
        for change in changes:
            if change.path.read_bytes() != change.before:
                raise FileChangedError(change.path)
        done: list[FileChange] = []
        try:
            for change, draft in drafts:
                draft.replace(change.path.resolve())
                done.append(change)
        except OSError:
            _put_back(done)
            raise


def _put_back(changes: Sequence[FileChange]) -> None:
    for change in reversed(changes):
        with _draft(change.path, change.before) as draft:
            draft.replace(change.path.resolve())


@contextlib.contextmanager
def _draft(path: Path, content: bytes) -> Iterator[Path]:
    """Write content beside a file, with the file's own permissions; what is left of it afterwards is deleted."""
    target = path.resolve()
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}-")
    draft = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        draft.chmod(target.stat().st_mode)
        yield draft
    finally:
        draft.unlink(missing_ok=True)
