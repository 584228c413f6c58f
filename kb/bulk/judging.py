"""Many single questions on all cores.

Owns: spreading questions over processes that hold the same tables. Does not own: answering one
(`kb/bulk/outcomes.py`).
"""

from __future__ import annotations

import multiprocessing
import os
import pickle
import signal
import tempfile
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextvars import ContextVar
from multiprocessing.connection import wait
from pathlib import Path
from types import TracebackType
from typing import Any, NamedTuple

from kb.bulk.outcomes import Asked, Outcome, ReadInline, answered
from kb.knowledge_base import KnowledgeBase
from kb.store.frozen import BuiltTables
from kb.store.snapshot import Snapshot
from schemas.tables import ROW_CLASSES

FEW = 4_000  # questions that one process has answered before another one has started
CHUNK = 500  # questions a process answers between two words with its master


class _WorkerTask(NamedTuple):
    base: KnowledgeBase
    read_inline: ReadInline


_WORKER_TASK: ContextVar[_WorkerTask] = ContextVar("_DUTY")  # set once, when a helper process starts


class Judges:
    """Answers single questions; helper processes start when there are many, and end with the `with` block."""

    def __init__(self, base: KnowledgeBase, read_inline: ReadInline, processes: int | None = None) -> None:
        """Prepare to judge.

        Args:
            base: answers every question.
            read_inline: reads the JSON of an inline part; a function of a module, so that helpers find it.
            processes: most processes; by default one a core.
        """
        self._base, self._read_inline = base, read_inline
        self._processes = processes or os.cpu_count() or 1
        self._helpers: ProcessPoolExecutor | None = None
        self._folder: tempfile.TemporaryDirectory[str] | None = None

    def __enter__(self) -> Judges:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._helpers is not None:
            self._helpers.shutdown(cancel_futures=True)
        if self._folder is not None:
            self._folder.cleanup()

    def many(self, questions: Sequence[Asked], done: Callable[[int], object] = int) -> list[Outcome]:
        """Return the outcomes of questions, in their order.

        Args:
            questions: what is asked.
            done: given the number of questions answered so far, now and then.
        """
        chunks = [questions[at : at + CHUNK] for at in range(0, len(questions), CHUNK)]
        few = len(questions) <= FEW or self._processes == 1
        answers = map(self._answered, chunks) if few else self._crew().map(_answered_by_helper, chunks)
        outcomes: list[Outcome] = []
        for chunk in answers:
            outcomes += chunk
            done(len(outcomes))
        return outcomes

    def _answered(self, chunk: Sequence[Asked]) -> list[Outcome]:
        return [answered(self._base, asked, self._read_inline) for asked in chunk]

    def _crew(self) -> ProcessPoolExecutor:
        if self._helpers is None:
            context = multiprocessing.get_context("spawn")  # a fork of a process with threads may hang
            self._folder = tempfile.TemporaryDirectory(prefix="wetted-")
            tables = Path(self._folder.name) / "tables"  # a pipe would hang if a helper died before reading it all
            tables.write_bytes(pickle.dumps(_tables_of(self._base.snapshot)))
            given = (str(tables), self._read_inline)
            self._helpers = ProcessPoolExecutor(self._processes, context, _start, given)
        return self._helpers


def _tables_of(snapshot: Snapshot) -> tuple[dict[str, tuple[Any, ...]], str, str]:
    rows = {name: snapshot.all_rows(name) for name in ROW_CLASSES}
    return rows, snapshot.tables_version, snapshot.digest


def _start(tables: str, read_inline: ReadInline) -> None:
    """Make a helper process ready; it leaves Ctrl-C to its master, and ends with it however that ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_master, daemon=True).start()
    rows, version, digest = pickle.loads(Path(tables).read_bytes())  # written by the master for its helpers alone
    _WORKER_TASK.set(_WorkerTask(KnowledgeBase(Snapshot(BuiltTables(rows, version, digest))), read_inline))


def _end_with_master() -> None:
    master = multiprocessing.parent_process()
    assert master is not None
    wait([master.sentinel])
    os._exit(1)


def _answered_by_helper(chunk: Sequence[Asked]) -> list[Outcome]:
    task = _WORKER_TASK.get()
    return [answered(task.base, asked, task.read_inline) for asked in chunk]
