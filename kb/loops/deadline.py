"""How long one question may be thought about.

Owns: the time a question has, and the error when it is spent. Does not own: how much that is, or what is reported then.
It is looked at between the steps of an answer, so an answer is whole or there is none.
"""

from __future__ import annotations

import math
import time


class BudgetSpentError(Exception):
    """A question that took longer than it may; nothing of its answer is given.

    Attributes:
        stage: what came next when the time was spent.
        allowed_s: how long it might take [s].
    """

    def __init__(self, stage: str, allowed_s: float) -> None:
        self.stage, self.allowed_s = stage, allowed_s
        super().__init__(f"{stage}: {allowed_s:g} s were not enough")


class Budget:
    """The time of one question; it runs from the moment it is made.

    >>> Budget(60.0).check("flow")
    >>> Budget(0.0).check("flow")
    Traceback (most recent call last):
    kb.loops.deadline.BudgetSpentError: flow: 0 s were not enough
    """

    __slots__ = ("_end_s", "allowed_s")

    def __init__(self, allowed_s: float = math.inf) -> None:
        """Begin.

        Args:
            allowed_s: how long the question may take [s]; by default for ever.
        """
        self.allowed_s = allowed_s
        self._end_s = time.monotonic() + allowed_s

    def check(self, stage: str) -> None:
        """Go on with the next stage, if there is time left.

        Args:
            stage: what comes next.

        Raises:
            BudgetSpentError: if there is none.
        """
        if time.monotonic() >= self._end_s:
            raise BudgetSpentError(stage, self.allowed_s)


UNLIMITED = Budget()
