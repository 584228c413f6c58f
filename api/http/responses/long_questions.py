"""Questions that take long: some at a time, in threads, and none for ever.

Owns: their slots, their time, and that others are answered meanwhile. Does not own: looking at the time while an
answer is made (`kb/loops/deadline.py`), or batches, which have slots of their own (`api/http/batch/response.py`).
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import TypeVar

from api.http.problems.problem_kinds import BUSY
from api.http.problems.problems import ProblemError
from kb.loops.deadline import Budget

RETRY_AFTER_S = 2

Answer = TypeVar("Answer")


class LongQuestions:
    """Slots for questions that take long."""

    def __init__(self, at_once: int, longest_s: float) -> None:
        """Make slots.

        Args:
            at_once: how many are thought about at the same time; the others wait.
            longest_s: how long one may wait, and how long it may be thought about [s].
        """
        self._slots = asyncio.Semaphore(at_once)
        self._longest_s = longest_s

    async def ask(self, work: Callable[[Budget], Answer]) -> Answer:
        """Return what work in a thread comes to.

        Args:
            work: makes the answer within the time that it is given.

        Raises:
            ProblemError: if no slot got free in time.
            BudgetSpentError: if the work took too long.
        """
        try:
            async with asyncio.timeout(self._longest_s):
                await self._slots.acquire()
        except TimeoutError:
            raise ProblemError(BUSY, headers={"Retry-After": str(RETRY_AFTER_S)}) from None
        try:
            return await asyncio.to_thread(work, Budget(self._longest_s))
        finally:
            self._slots.release()
