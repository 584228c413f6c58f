"""New tables for a running service, on SIGHUP, or when their files change if the operator wants it: load, then swap.

Owns: which base answers a request, when tables are loaded again, that bad ones change nothing, and what came of it.
Does not own: loading (`api/http/reload/loading.py`) or what an application answers (`api/http/app.py`).
A request is handed to the application of one base and never leaves it; the swap is one assignment.
"""

from __future__ import annotations

import asyncio
import contextlib
import gc
import logging
import signal
from collections.abc import AsyncIterator, Awaitable, Callable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TypeAlias

from fastapi.dependencies import models
from starlette.routing import Router
from starlette.types import ASGIApp, Receive, Scope, Send

from api.http.reload.loading import LoadError
from api.http.responses.metrics import Metrics
from api.http.responses.middleware import PIN
from kb.knowledge_base import KnowledgeBase

MOST_TRIES = 3  # of reading a folder that changes while it is read
SETTLING_S = 1.0  # a base that is soon replaced is not worth precomputing for
BETWEEN_STEPS_S = 0.005
_LOG = logging.getLogger("wetted.reloading")

Fingerprint: TypeAlias = tuple[tuple[str, int, int], ...]


@dataclass(frozen=True, slots=True)
class ReloadState:
    """What came of loading tables.

    Attributes:
        version: version that answers now.
        since: when it began to answer.
        reloads: how often new tables took the place of old ones.
        refusals: how often tables were refused.
        refused: why the tables that were tried last were refused; empty if they were not.
        is_judging: whether new tables are being judged and loaded.
    """

    version: str
    since: datetime
    reloads: int = 0
    refusals: int = 0
    refused: str = ""
    is_judging: bool = False


class Reloader:
    """Serves the present tables and some versions before them, and loads new ones meanwhile."""

    def __init__(
        self,
        base: KnowledgeBase,
        make_app: Callable[[KnowledgeBase], ASGIApp],
        tables: Path,
        load: Callable[[Path, KnowledgeBase], Awaitable[KnowledgeBase]],
        kept: int = 1,
        watch_s: float = 0.0,
        metrics: Metrics | None = None,
    ) -> None:
        """Begin with a base.

        Args:
            base: answers until another one takes its place.
            make_app: returns the application around a base.
            tables: folder of the tables or a release; it may be a link that is pointed elsewhere.
            load: returns the base of tables, given the one that answers.
            kept: how many earlier versions stay for clients that pin them.
            watch_s: time between two looks at the files [s]; 0 = only on SIGHUP.
            metrics: counts reloads; by default those of this service alone.
        """
        self._make_app, self._tables, self._load, self._kept, self._watch_s = make_app, tables, load, kept, watch_s
        self._base, self._app = base, make_app(base)
        self._by_version: Mapping[bytes, ASGIApp] = {base.version.encode(): self._app}
        self._metrics = metrics or Metrics()
        self._asked = asyncio.Event()
        self._precomputing: asyncio.Task[None] | None = None
        self._lifespan = Router(lifespan=self.running)
        self.state = ReloadState(base.version, datetime.now(UTC))

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Hand a request to the version that it pins, or else to the present one, which refuses unknown pins."""
        if scope["type"] == "lifespan":
            await self._lifespan(scope, receive, send)
            return
        app = self._app
        for name, value in scope["headers"]:
            if name == PIN:
                app = self._by_version.get(value, app)
        await app({**scope}, receive, send)  # applications write into it, and the server keeps its own while idle

    def ask(self) -> None:
        """Ask for the tables to be loaded again; asking again before that is done is one more time, not many."""
        self._asked.set()

    @contextlib.asynccontextmanager
    async def running(self, _app: object = None) -> AsyncIterator[None]:
        """Load tables whenever somebody asks, precompute for the base that answers; both end with the context."""
        with contextlib.suppress(ValueError, RuntimeError):  # signals reach the main thread only
            asyncio.get_running_loop().add_signal_handler(signal.SIGHUP, self.ask)
        work = asyncio.create_task(self._work())
        self._precompute()
        try:
            yield
        finally:
            work.cancel()
            if self._precomputing is not None:
                self._precomputing.cancel()
            await asyncio.gather(work, return_exceptions=True)

    async def reload(self) -> ReloadState:
        """Load the tables and let them answer if they are sound; tables that are not change nothing.

        Returns:
            what came of it.
        """
        _LOG.info("new tables are being judged and loaded, %s answers meanwhile", self._base.version)
        self.state = replace(self.state, is_judging=True)
        try:
            await self._swap(await self._loaded())
            self.state = replace(self.state, refused="")
        except Exception as error:  # whatever is wrong with new tables, the old ones go on answering
            reason = str(error) if isinstance(error, LoadError) else f"{type(error).__name__}: {error}"
            self.state = replace(self.state, refusals=self.state.refusals + 1, refused=reason)
            self._metrics.refused_reloads.inc()
            _LOG.error("new tables were refused, %s goes on answering: %s", self._base.version, reason)
        finally:
            self.state = replace(self.state, is_judging=False)
        return self.state

    async def _loaded(self) -> KnowledgeBase:
        """Return the base of the tables as they were at one moment.

        Raises:
            LoadError: if they changed under every try, or cannot be loaded.
        """
        for _ in range(MOST_TRIES):
            tables = self._tables.resolve()
            before = await asyncio.to_thread(fingerprint, tables)
            (found,) = await asyncio.gather(self._load(tables, self._base), return_exceptions=True)
            if await asyncio.to_thread(fingerprint, tables) == before:
                if isinstance(found, BaseException):
                    raise found
                return found
        raise LoadError(f"{self._tables} changed while it was read")

    async def _swap(self, base: KnowledgeBase) -> None:
        """Let a base answer from now on; requests that have begun end where they began."""
        before = self._base.version
        if base.version == before:
            return
        app, key = await asyncio.to_thread(self._make_app, base), base.version.encode()
        served = {**{one: old for one, old in self._by_version.items() if one != key}, key: app}
        self._by_version = dict(list(served.items())[-1 - self._kept :])
        self._base, self._app = base, app
        self.state = replace(self.state, version=base.version, since=datetime.now(UTC), reloads=self.state.reloads + 1)
        self._metrics.reloads.inc()
        _LOG.info("tables %s answer in place of %s", base.version, before)
        self._precompute()
        _forget_callables()
        await asyncio.to_thread(gc.collect)  # bases that nobody can ask any more are full of cycles

    def _precompute(self) -> None:
        """Begin to find what first questions would wait for; what is left of the base before is left out."""
        if self._precomputing is not None:
            self._precomputing.cancel()
        self._precomputing = asyncio.create_task(_precompute(self._base))

    async def _work(self) -> None:
        """Wait for a signal or a change of the files, and reload; a change counts when it has come to rest."""
        loaded = seen = await asyncio.to_thread(fingerprint, self._tables)
        while True:
            asked = await self._wait()
            now = await asyncio.to_thread(fingerprint, self._tables)
            if asked or (now != loaded and now == seen):
                await self.reload()
                loaded = now
            seen = now

    async def _wait(self) -> bool:
        """Return whether somebody asked, at the latest after the time between two looks."""
        with contextlib.suppress(TimeoutError):
            async with asyncio.timeout(self._watch_s or None):
                await self._asked.wait()
        asked = self._asked.is_set()
        self._asked.clear()
        return asked


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


async def _precompute(base: KnowledgeBase) -> None:
    """Take one step after another in a thread; between them requests have the computer to themselves."""
    await asyncio.sleep(SETTLING_S)
    steps = base.precompute()
    try:
        while await asyncio.to_thread(next, steps, None) is not None:
            await asyncio.sleep(BETWEEN_STEPS_S)
    except Exception:
        _LOG.exception("precomputation for %s broke; its questions will find what they need themselves", base.version)


def _forget_callables() -> None:
    """Empty the framework's memory of which functions are coroutines: it holds routes, and with them their bases."""
    for one in tuple(vars(models).values()):
        if hasattr(one, "cache_clear"):
            one.cache_clear()
