"""The next tables of a running service, from folder to warm base.

Owns: that only built tables are loaded here, sharing what did not change, and indexes made before the first question.
Does not own: judging and building new tables (`api/http/reload/snapshot_build.py`), or when to load
(`api/http/reload/reloading.py`).
"""

from __future__ import annotations

import asyncio
import logging
import os
import tempfile
from pathlib import Path

from api.http.reload.snapshot_build import SnapshotBuildError, build_snapshot
from kb.knowledge_base import KnowledgeBase, load_built
from kb.load import default_cache

_LOG = logging.getLogger("wetted.reloading")


class NextTables:
    """Loads tables one after another; what two of them have in common is loaded once.

    Attributes:
        is_judging: whether a folder is being judged just now, because nobody has before.
    """

    def __init__(self, base: KnowledgeBase, patience_s: float) -> None:
        """Begin with a base.

        Args:
            base: the base that answers now.
            patience_s: how long tables may take to be judged [s].
        """
        self._newest = base
        self._patience_s = patience_s
        self.is_judging = False
        self._own: tempfile.TemporaryDirectory[str] | None = None  # where the user's cache cannot be written

    async def __call__(self, folder: Path) -> KnowledgeBase:
        """Return the base of a folder.

        Args:
            folder: folder of the tables.

        Raises:
            TablesRefusedError: if anything is wrong with the tables.
            SnapshotBuildError: if they could not be judged, or kept as a snapshot.
        """
        cache = self._cache()
        base = await asyncio.to_thread(self._built, folder, cache)
        if base is None:
            await self._judge(folder, cache)
            base = await asyncio.to_thread(self._built, folder, cache)
        if base is None:
            raise SnapshotBuildError(f"nothing can be kept in {cache}; let WETTED_CACHE_DIR name a folder to write in")
        self._newest = base
        return base

    async def _judge(self, folder: Path, cache: Path) -> None:
        _LOG.info("new tables are being judged, %s answers meanwhile", self._newest.version)
        self.is_judging = True
        try:
            await build_snapshot(folder, cache, self._patience_s)
        finally:
            self.is_judging = False

    def _cache(self) -> Path:
        usual = default_cache()
        if _can_write(usual):
            return usual
        if self._own is None:
            self._own = tempfile.TemporaryDirectory(prefix="wetted-")
        return Path(self._own.name)

    def _built(self, folder: Path, cache: Path) -> KnowledgeBase | None:
        base = load_built(folder, cache, self._newest)
        return None if base is None else warmed(base)


def warmed(base: KnowledgeBase) -> KnowledgeBase:
    """Return a base with the indexes made that its first question would otherwise wait for."""
    base.warm_up()
    return base


def _can_write(folder: Path) -> bool:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return False
    return os.access(folder, os.W_OK | os.X_OK)
