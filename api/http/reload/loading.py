"""New tables of a running service, loaded beside the ones that answer.

Owns: that tables nobody has judged yet are judged by a process of their own, and what is said if that fails. Does not
own: judging (`kb/load.py`), or when tables are loaded (`api/http/reload/reloading.py`).
Judging takes seconds of computing: in a thread it would slow every request down, and a crash would end the service.
"""

from __future__ import annotations

import asyncio
import contextlib
import os
import subprocess
import sys
import tempfile
from functools import cache as once
from pathlib import Path

from kb.knowledge_base import KnowledgeBase, load_built
from kb.load import default_cache, load_tables
from kb.store.faults import TablesRefusedError

MOST_FAULTS_TOLD = 5
_NICER = 1  # who answers requests goes first, but not by much: at 5 a full computer gave it a third of one's share
_LONGEST_REASON = 300


class LoadError(Exception):
    """New tables cannot be loaded; the text says why."""


async def load_beside(tables: Path, before: KnowledgeBase, patience_s: float) -> KnowledgeBase:
    """Return the base of new tables, with the indexes made that its first question would otherwise wait for.

    Args:
        tables: folder of the tables, or a release of them.
        before: the base that answers meanwhile; tables that are the same are shared with it.
        patience_s: how long they may take to be judged [s].

    Raises:
        LoadError: if the tables were refused or could not be judged, or nothing can be kept of them.
    """
    cache = _writable_cache()
    base = await asyncio.to_thread(_load_built, tables, cache, before)
    if base is None:
        await judge_beside(tables, cache, patience_s)
        base = await asyncio.to_thread(_load_built, tables, cache, before)
    if base is None:
        raise LoadError(f"nothing can be kept in {cache}; let WETTED_CACHE_DIR name a folder to write in")
    return base


async def judge_beside(tables: Path, cache: Path, patience_s: float) -> None:
    """Judge the tables of a folder and build their snapshot in another process, which ends with this call.

    Args:
        tables: folder of the tables.
        cache: folder for the snapshot file.
        patience_s: how long it may take [s].

    Raises:
        LoadError: with the first faults, or how the process ended if it crashed, was killed or took too long.
    """
    process = await asyncio.create_subprocess_exec(
        *(sys.executable, "-P", "-m", __name__, str(tables.resolve()), str(cache.resolve())),
        env={**os.environ, "PYTHONPATH": os.pathsep.join(path or str(Path.cwd()) for path in sys.path)},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    try:
        async with asyncio.timeout(patience_s):
            faults, errors = await process.communicate()
    except TimeoutError:
        raise LoadError(f"judging the tables took longer than {patience_s:g} s") from None
    finally:
        if process.returncode is None:
            process.kill()
            await process.wait()
    if process.returncode:
        last = errors.decode(errors="replace").strip().rpartition("\n")[2][:_LONGEST_REASON]
        raise LoadError(f"{subprocess.CalledProcessError(process.returncode, 'judging the tables')} {last}".strip())
    if faults:
        raise LoadError(faults.decode())


def _load_built(tables: Path, cache: Path, before: KnowledgeBase) -> KnowledgeBase | None:
    try:
        base = load_built(tables, cache, before)
    except TablesRefusedError as error:
        raise LoadError(_told(error)) from error
    if base is not None:
        base.warm_up()
    return base


def _told(error: TablesRefusedError) -> str:
    return f"{len(error.faults)} faults: {'; '.join(map(str, error.faults[:MOST_FAULTS_TOLD]))}"


def _writable_cache() -> Path:
    """Return where built tables are kept: the usual folder, or one of this process if that cannot be written."""
    usual = default_cache()
    with contextlib.suppress(OSError):
        usual.mkdir(parents=True, exist_ok=True)
    return usual if os.access(usual, os.W_OK | os.X_OK) else Path(_own_folder().name)


@once
def _own_folder() -> tempfile.TemporaryDirectory[str]:
    return tempfile.TemporaryDirectory(prefix="wetted-")


if __name__ == "__main__":
    os.nice(_NICER)
    try:
        load_tables(Path(sys.argv[1]), Path(sys.argv[2]))
    except TablesRefusedError as error:
        sys.stdout.buffer.write(_told(error).encode(errors="replace"))
