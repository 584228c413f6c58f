"""What first questions would have to wait for is found while nobody waits.

Owns: doing it in the background, in short steps, for one base at a time. Does not own: what is found
(`kb/knowledge_base.py`), or when a base begins to answer (`api/http/reload/reloading.py`).
"""

from __future__ import annotations

import asyncio
import logging

from kb.knowledge_base import KnowledgeBase

SETTLING_S = 1.0  # a base that is soon replaced is not worth precomputing for
BETWEEN_STEPS_S = 0.005
_LOG = logging.getLogger(__name__)


class Precomputation:
    """Precomputes for the base that answers; a newer one takes its place. Belongs to one event loop."""

    def __init__(self, settling_s: float = SETTLING_S) -> None:
        """Begin with no base.

        Args:
            settling_s: how long a base has to stand before precomputation begins [s].
        """
        self._settling_s = settling_s
        self._task: asyncio.Task[None] | None = None

    def begin(self, base: KnowledgeBase) -> None:
        """Begin to precompute for a base; what is left of the one before is left out.

        Args:
            base: the base.
        """
        self.end()
        self._task = asyncio.create_task(_precompute(base, self._settling_s))

    def end(self) -> None:
        """Precompute no further."""
        if self._task is not None:
            self._task.cancel()


async def _precompute(base: KnowledgeBase, settling_s: float) -> None:
    """Take one step after another in a thread; between them requests have the computer to themselves."""
    await asyncio.sleep(settling_s)
    steps = base.precompute()
    try:
        while await asyncio.to_thread(next, steps, None) is not None:
            await asyncio.sleep(BETWEEN_STEPS_S)
    except Exception:
        _LOG.exception("precomputation for %s broke; its questions will find what they need themselves", base.version)
