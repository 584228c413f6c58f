"""New tables for a running service: on SIGHUP, and when their files change if the operator wants it.

Owns: when tables are loaded again, that a bad folder changes nothing, and what came of it. Does not own: loading
(`api/http/reload/loading.py`) or the swap (`api/http/reload/tables_versions.py`).
"""

from __future__ import annotations

import asyncio
import contextlib
import gc
import logging
import signal
import time
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TypeAlias

from starlette.types import Receive, Scope, Send

from api.http.reload.precomputation import Precomputation
from api.http.reload.tables_versions import TablesVersions
from kb.knowledge_base import KnowledgeBase, tables_key
from kb.store.faults import TablesRefusedError

MOST_FAULTS_LOGGED = 5
BETWEEN_TIDYING_S = 0.5
MOST_TRIES = 3  # of reading a folder that changes while it is read
_LOG = logging.getLogger("wetted.reloading")

Fingerprint: TypeAlias = tuple[tuple[str, int, int], ...]


class StillChangingError(Exception):
    """The folder of the tables changed while it was read, every time."""


@dataclass(frozen=True, slots=True)
class ReloadState:
    """What came of loading tables.

    Attributes:
        version: version that answers now.
        since: when it began to answer.
        reloads: how often new tables took the place of old ones.
        refusals: how often tables were refused.
        refused: why the tables that were tried last were refused; empty if they were not.
        is_judging: whether new tables are being judged.
    """

    version: str
    since: datetime
    reloads: int = 0
    refusals: int = 0
    refused: str = ""
    is_judging: bool = False


class Reloader:
    """An application that serves tables versions and loads new ones while it runs."""

    def __init__(
        self,
        tables_versions: TablesVersions,
        folder: Path,
        load: Callable[[Path], Awaitable[KnowledgeBase]],
        watch_s: float = 0.0,
    ) -> None:
        """Prepare to load.

        Args:
            tables_versions: gets the new bases.
            folder: folder of the tables; it may be a link that is pointed elsewhere.
            load: loads a folder.
            watch_s: time between two looks at the files [s]; 0 = only on SIGHUP.
        """
        self._tables_versions = tables_versions
        self._folder = folder
        self._load = load
        self._watch_s = watch_s
        self._asked = asyncio.Event()
        self._precomputation = Precomputation()
        self._task: asyncio.Task[None] | None = None
        self._loaded_from: Mapping[str, str] = {}  # hash of the files -> version of a tables version that is served
        self._tidied = -BETWEEN_TIDYING_S
        self.state = ReloadState(tables_versions.version, datetime.now(UTC))

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve a request, or begin and end with the server."""
        if scope["type"] == "lifespan":
            await self._live(receive, send)
        else:
            await self._tables_versions(scope, receive, send)

    def ask(self) -> None:
        """Ask for the tables to be loaded again; asking again before that is done is one more time, not many."""
        self._asked.set()

    async def reload(self) -> ReloadState:
        """Load the tables and let them answer if they are sound; tables that are not change nothing.

        Returns:
            what came of it.
        """
        before = self._tables_versions.version
        try:
            is_loaded = await self._take_up()
        except Exception as error:  # whatever is wrong with new tables, the old ones go on answering
            self._refuse(error)
            return self.state
        version = self._tables_versions.version
        if version != before:
            self.state = ReloadState(version, datetime.now(UTC), self.state.reloads + 1, self.state.refusals)
            _LOG.info("tables %s answer in place of %s", version, before)
            if is_loaded:
                self._precomputation.begin(self._tables_versions.newest)
                await self._tidy()
        else:
            self.state = replace(self.state, refused="")
        return self.state

    async def _take_up(self) -> bool:
        """Let the tables of the folder answer, as they were at one moment; return whether they had to be loaded.

        Files that are those of a tables version that is still served bring it back.

        Raises:
            StillChangingError: if they changed under every try.
        """
        for _ in range(MOST_TRIES):
            folder = self._folder.resolve()
            before, key = await asyncio.to_thread(_read_marks, folder)
            if self._activate(key):
                return False
            try:
                base = await self._load(folder)
            except TablesRefusedError:
                if await asyncio.to_thread(fingerprint, folder) == before:
                    raise
                continue
            if await asyncio.to_thread(fingerprint, folder) == before:
                await asyncio.to_thread(self._tables_versions.replace, base)
                self._note(key, base.version)
                return True
        raise StillChangingError(f"{self._folder} changed while it was read")

    def _activate(self, key: str) -> bool:
        version = self._loaded_from.get(key)
        return version is not None and self._tables_versions.activate(version)

    def _note(self, key: str, version: str) -> None:
        served = self._tables_versions.versions
        held = {one: version for one, version in self._loaded_from.items() if version in served}
        self._loaded_from = {**held, key: version}

    async def _tidy(self) -> None:
        """Free tables versions that nobody asks any more: they are full of cycles and would stay for long."""
        now = time.monotonic()
        if now - self._tidied > BETWEEN_TIDYING_S:
            self._tidied = now
            await asyncio.to_thread(gc.collect)

    def _refuse(self, error: Exception) -> None:
        reason = _reason(error)
        self.state = replace(self.state, refusals=self.state.refusals + 1, refused=reason)
        _LOG.error("new tables were refused, %s goes on answering: %s", self._tables_versions.version, reason)

    async def _live(self, receive: Receive, send: Send) -> None:
        while True:
            message = await receive()
            if message["type"] == "lifespan.startup":
                self._begin()
                await send({"type": "lifespan.startup.complete"})
            elif message["type"] == "lifespan.shutdown":
                await self._end()
                await send({"type": "lifespan.shutdown.complete"})
                return

    def _begin(self) -> None:
        with contextlib.suppress(ValueError, RuntimeError):  # signals reach the main thread only
            asyncio.get_running_loop().add_signal_handler(signal.SIGHUP, self.ask)
        self._task = asyncio.create_task(self._work())
        self._precomputation.begin(self._tables_versions.newest)

    async def _end(self) -> None:
        with contextlib.suppress(ValueError, RuntimeError):
            asyncio.get_running_loop().remove_signal_handler(signal.SIGHUP)
        self._precomputation.end()
        if self._task is not None:
            self._task.cancel()
            with contextlib.suppress(asyncio.CancelledError):
                await self._task

    async def _work(self) -> None:
        """Wait for a signal or a change of the files, and reload; a change counts when it has come to rest."""
        loaded = seen = await asyncio.to_thread(fingerprint, self._folder)
        while True:
            asked = await self._wait()
            now = await asyncio.to_thread(fingerprint, self._folder)
            if asked or (now != loaded and now == seen):
                await self.reload()
                loaded = now
            seen = now

    async def _wait(self) -> bool:
        """Return whether somebody asked, at the latest after the time between two looks."""
        try:
            async with asyncio.timeout(self._watch_s or None):
                await self._asked.wait()
        except TimeoutError:
            return False
        self._asked.clear()
        return True


def fingerprint(folder: Path) -> Fingerprint:
    """Return what tells whether the files of a folder changed: name, size and time of each; nothing if there is none.

    Args:
        folder: folder of the tables, or the file of a release.
    """
    folder = folder.resolve()
    try:
        paths = sorted(folder.iterdir()) if folder.is_dir() else [folder]
        stats = [(path.name, path.stat()) for path in paths]
    except OSError:
        return ()
    return ((str(folder), 0, 0), *((name, stat.st_size, stat.st_mtime_ns) for name, stat in stats))


def _read_marks(folder: Path) -> tuple[Fingerprint, str]:
    """Return by what a folder of tables is known: first what shows a change, then a hash of what is in it."""
    return fingerprint(folder), tables_key(folder)


def _reason(error: Exception) -> str:
    if isinstance(error, TablesRefusedError):
        shown = "; ".join(map(str, error.faults[:MOST_FAULTS_LOGGED]))
        return f"{len(error.faults)} faults: {shown}"
    return f"{type(error).__name__}: {error}"
