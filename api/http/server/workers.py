"""Several processes that serve one socket from the same built tables.

Owns: starting and ending workers, none of which outlives who started it, passing SIGHUP on to them, and the memory in
which they show each other their counts.
Does not own: what a worker serves (`api/http/server/serve.py`).
"""

from __future__ import annotations

import asyncio
import json
import os
import signal
import struct
import zlib
from collections import Counter
from collections.abc import Callable
from multiprocessing import get_context, parent_process
from multiprocessing.connection import wait
from threading import Thread

from uvicorn.supervisors.multiprocess import Multiprocess

from api.http.responses.metrics import Counts

PAGE_BYTES = 256 * 1024  # some 60 kB are used once every address was asked
SHOW_AFTER_S = 0.5
_HEAD = struct.Struct("<II")  # length and checksum: a page may be read while it is written
_SPARE_SLOTS = 2


class SharedMetrics:
    """Counts of all workers in shared memory, one page a worker. A new worker goes on where a dead one ended."""

    def __init__(self, workers: int) -> None:
        """Make room.

        Args:
            workers: how many processes will show their counts.
        """
        context, slots = get_context("spawn"), workers + _SPARE_SLOTS
        self._lock = context.Lock()
        self._owners = context.RawArray("q", slots)
        self._pages = context.RawArray("c", slots * PAGE_BYTES)
        self._place: int | None = None
        self._is_due = False
        self._before: Counts = Counter()
        self._seen: dict[int, Counts] = {}

    def claim(self) -> None:
        """Take a page of one's own; without a free one, nothing is shown."""
        with self._lock:
            for place, owner in enumerate(self._owners):
                if not owner or not _is_alive(owner):
                    self._place, self._owners[place] = place, os.getpid()
                    self._before = self._read(place)
                    return

    def publish(self, make: Callable[[], Counts]) -> None:
        """Show the counts of this worker to the others soon; often asked, seldom done."""
        if not self._is_due and self._place is not None:
            self._is_due = True
            asyncio.get_running_loop().call_later(SHOW_AFTER_S, self._write, make)

    def others(self) -> Counts:
        """Return the sum of what the other workers have shown, and of those that this one came for."""
        found = Counter(self._before)
        for place, owner in enumerate(self._owners):
            if owner and place != self._place:
                found.update(self._read(place))
        return found

    def _write(self, make: Callable[[], Counts]) -> None:
        self._is_due = False
        counts = make()
        counts.update(self._before)
        text = json.dumps([[*key, value] for key, value in counts.items()]).encode()
        if self._place is None or _HEAD.size + len(text) > PAGE_BYTES:
            return
        start = self._place * PAGE_BYTES
        page = _HEAD.pack(len(text), zlib.crc32(text)) + text
        self._pages[start : start + len(page)] = page

    def _read(self, place: int) -> Counts:
        """Return what is on a page; if it is being written, what stood there before."""
        start = place * PAGE_BYTES
        length, checksum = _HEAD.unpack(self._pages[start : start + _HEAD.size])
        text = self._pages[start + _HEAD.size : start + _HEAD.size + min(length, PAGE_BYTES)]
        if length and zlib.crc32(text) == checksum:
            self._seen[place] = Counter({tuple(key): value for *key, value in json.loads(text)})
        return self._seen.get(place, Counter())


class Workers(Multiprocess):
    """The server's supervisor; new tables are loaded by living workers instead of new ones."""

    def handle_hup(self) -> None:
        """Let every worker load the tables again."""
        for process in self.processes:
            if process.pid is not None and process.is_ready():
                os.kill(process.pid, signal.SIGHUP)

    def terminate_all(self) -> None:
        """End all workers; nobody may queue up at a socket that no worker looks at any more."""
        for sock in self.sockets:
            sock.close()
        super().terminate_all()


def end_with_parent() -> None:
    """Let this worker end as if it were told to, as soon as the process that started it is gone, however that ended."""
    parent = parent_process()
    if parent is not None:
        Thread(target=_end_behind, args=(parent.sentinel,), daemon=True).start()


def _end_behind(sentinel: int) -> None:
    wait([sentinel])  # a pipe whose other end the system closes, even if the parent was killed
    os.kill(os.getpid(), signal.SIGTERM)


def _is_alive(process_id: int) -> bool:
    try:
        os.kill(process_id, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        pass
    return True
