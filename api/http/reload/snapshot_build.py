"""Tables that nobody has judged yet are judged and built in a process of their own.

Owns: that process, its time limit, and reporting its faults as if they had been found here. Does not own: judging
(`kb/load.py`), or what becomes of tables that are refused (`api/http/reload/reloading.py`).
Judging takes seconds of computing. In a thread it would slow every request down, and a crash would end the service.
"""

from __future__ import annotations

import asyncio
import json
import os
import signal
import sys
from dataclasses import astuple
from pathlib import Path

from kb.load import load_tables
from kb.store.faults import Fault, TablesRefusedError

_NICER = 1  # who answers requests goes first, but not by much: at 5 a full computer gave it a third of one's share
_LONGEST_REASON = 300


class SnapshotBuildError(Exception):
    """The process that should have judged tables came to no end of its own: nothing is known of the tables."""


async def build_snapshot(folder: Path, cache: Path, patience_s: float) -> None:
    """Judge the tables of a folder and build their snapshot, in another process.

    Args:
        folder: folder of the tables.
        cache: folder for the snapshot file.
        patience_s: how long it may take [s].

    Raises:
        TablesRefusedError: with every fault found, as `kb.load.load_tables` does.
        SnapshotBuildError: if the process crashed, was killed or took too long.
    """
    process = await asyncio.create_subprocess_exec(
        *(sys.executable, "-P", "-m", __name__, str(folder.resolve()), str(cache.resolve())),
        env={**os.environ, "PYTHONPATH": os.pathsep.join(path or str(Path.cwd()) for path in sys.path)},
        stdin=asyncio.subprocess.DEVNULL,
        stdout=asyncio.subprocess.PIPE,
        stderr=asyncio.subprocess.PIPE,
    )
    try:
        async with asyncio.timeout(patience_s):
            output, errors = await process.communicate()
    except TimeoutError:
        raise SnapshotBuildError(f"judging the tables took longer than {patience_s:g} s") from None
    finally:
        if process.returncode is None:
            process.kill()
            await process.wait()
    _require_judged(process.returncode, output, errors)


def _require_judged(code: int | None, output: bytes, errors: bytes) -> None:
    if code:
        raise SnapshotBuildError(f"the process that judged the tables {_end(code)}{_last_line(errors)}")
    faults = [Fault(*one) for one in json.loads(output)]
    if faults:
        raise TablesRefusedError(faults)


def _end(code: int) -> str:
    if code > 0:
        return f"ended with code {code}"
    try:
        return f"was ended by {signal.Signals(-code).name}"
    except ValueError:
        return f"was ended by signal {-code}"


def _last_line(errors: bytes) -> str:
    lines = errors.decode(errors="replace").strip().splitlines()
    return f": {lines[-1][:_LONGEST_REASON]}" if lines else ""


def _judge(folder: Path, cache: Path) -> list[Fault]:
    try:
        load_tables(folder, cache)
    except TablesRefusedError as error:
        return list(error.faults)
    return []


if __name__ == "__main__":
    os.nice(_NICER)
    sys.stdout.write(json.dumps([astuple(fault) for fault in _judge(Path(sys.argv[1]), Path(sys.argv[2]))]))
