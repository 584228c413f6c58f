"""Work in a child process that may be killed at any moment: what the kill trials have in common.

Owns: starting it, killing it, and noticing if it hangs. Does not own: what the work is, or what has to hold afterwards.
The parent never opens a database: its threads do not survive a fork, and whatever they held would stay held for ever.
"""

from __future__ import annotations

import os
import random
import select
import signal
import statistics
import sys
import time
import traceback
from collections.abc import Callable
from typing import NoReturn

PATIENCE_S = 120.0  # work takes seconds; what takes longer hangs
WARM_RUNS = 5
LONGEST = 1.2  # kills are spread over this many times the usual length of the work, which varies with who else works


class StuckError(Exception):
    """Work that should have ended did not, or ended badly."""


class Killings:
    """Kills work at random moments of its usual length.

    Attributes:
        length_s: how long the work usually takes [s].
        killed: how often it was killed before it ended.
    """

    def __init__(self, work: Callable[[], object], chance: random.Random) -> None:
        """Find out how long work takes.

        Args:
            work: is done to its end some times.
            chance: chooses the moments.
        """
        self._chance = chance
        lengths = []
        for _ in range(WARM_RUNS):
            start = time.perf_counter()
            do(work)
            lengths.append(time.perf_counter() - start)
        self.length_s = statistics.median(lengths)
        self.killed = 0

    def kill(self, work: Callable[[], object]) -> None:
        """Start work and kill it some time later."""
        child = _started(work, None)
        time.sleep(self._chance.uniform(0, LONGEST * self.length_s))
        os.kill(child, signal.SIGKILL)
        self.killed += os.waitpid(child, 0)[1] != 0


def do(work: Callable[[], object]) -> bytes:
    """Do work in a child to its end and return the bytes it returns, if it does.

    Raises:
        StuckError: if it fails or takes too long.
    """
    reader, writer = os.pipe()
    child = _started(work, writer)
    os.close(writer)
    output, end = b"", time.monotonic() + PATIENCE_S
    while select.select([reader], [], [], max(0.0, end - time.monotonic()))[0]:
        more = os.read(reader, 65536)
        if not more:
            break
        output += more
    else:
        os.kill(child, signal.SIGKILL)
    os.close(reader)
    status = os.waitpid(child, 0)[1]
    if status:
        raise StuckError(f"a child took more than {PATIENCE_S:g} s, or failed: wait status {status}")
    return output


def _started(work: Callable[[], object], writer: int | None) -> int:
    sys.stdout.flush()
    child = os.fork()
    if child == 0:
        _be_child(work, writer)
    return child


def _be_child(work: Callable[[], object], writer: int | None) -> NoReturn:
    """Work and end, whatever happens: nothing of the parent's may go on here."""
    try:
        output = work()
        if writer is not None and isinstance(output, bytes):
            os.write(writer, output)
        os._exit(0)
    except BaseException:
        traceback.print_exc()
        os._exit(1)
