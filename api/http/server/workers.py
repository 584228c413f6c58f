"""Several processes that serve one socket from the same built tables.

Owns: starting and ending workers, none of which outlives who started it, and passing SIGHUP on to them.
Does not own: what a worker serves (`api/http/server/serve.py`).
"""

from __future__ import annotations

import os
import signal
from multiprocessing import parent_process
from multiprocessing.connection import wait
from threading import Thread

from uvicorn.supervisors.multiprocess import Multiprocess


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
