"""What went through the service, counted: requests by address and status, their times, what came from memory.

Owns: the counts of this process, and their sum over all workers. Does not own: how they are written
(`api/http/responses/metrics_text.py`) or where workers share them (`api/http/server/workers.py`).
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Callable
from typing import Protocol, TypeAlias

BOUNDS_S = (0.0005, 0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0)
NO_ROUTE = "none"
KNOWN_METHODS = frozenset({"GET", "HEAD", "POST", "OPTIONS", "PUT", "PATCH", "DELETE"})

Key: TypeAlias = tuple[str, ...]
Counts: TypeAlias = Counter[Key]


class _Tally:
    """What is counted of the requests of one method to one address with one status."""

    __slots__ = ("from_memory", "seconds", "times")

    def __init__(self) -> None:
        self.times = [0] * (len(BOUNDS_S) + 1)  # how many took up to each bound
        self.seconds = 0.0
        self.from_memory = 0


class SharedCounts(Protocol):
    """Where workers put their counts for each other to see."""

    def publish(self, make: Callable[[], Counts]) -> None:
        """Show the counts of this worker to the others soon."""

    def others(self) -> Counts:
        """Return the sum of what the other workers have shown."""


class Metrics:
    """Counts requests. Belongs to one event loop; names of addresses are templates, so there are few of them.

    >>> metrics = Metrics()
    >>> metrics.note("GET", "/v1/pair", 200, 0.0007, True)
    >>> metrics.counts()["requests", "GET", "/v1/pair", "200"], metrics.counts()["memory", "/v1/pair"]
    (1, 1)
    """

    def __init__(self, shared_metrics: SharedCounts | None = None) -> None:
        self._shared = shared_metrics
        self._tallies: dict[tuple[str, str, int], _Tally] = {}
        self._refused: Counts = Counter()
        self._more: Callable[[], Counts] = Counter
        self.connections = 0

    def also_count(self, more: Callable[[], Counts]) -> None:
        """Add counts that somebody else keeps."""
        self._more = more

    def note(self, method: str, route: str, status: int, seconds: float, from_memory: bool) -> None:
        """Count an answered request.

        Args:
            method: method of the request; unknown ones count as one.
            route: path template; empty if there is none.
            status: HTTP status code of the answer.
            seconds: time from the request's head to the end of its answer [s].
            from_memory: whether the answer was cached.
        """
        key = (method if method in KNOWN_METHODS else "other", route or NO_ROUTE, status)
        tally = self._tallies.get(key)
        if tally is None:
            tally = self._tallies[key] = _Tally()
        tally.times[bisect_left(BOUNDS_S, seconds)] += 1
        tally.seconds += seconds
        if from_memory:
            tally.from_memory += 1
        if self._shared is not None:
            self._shared.publish(self._own)

    def note_refusal(self, problem: str) -> None:
        """Count a connection that was refused before it became a request.

        Args:
            problem: slug of the problem.
        """
        self._refused["refused", problem] += 1

    def counts(self) -> Counts:
        """Return the counts of all workers together."""
        own = self._own()
        if self._shared is not None:
            own.update(self._shared.others())
        return own

    def _own(self) -> Counts:
        own = Counter(self._refused)
        for (method, route, status), tally in self._tallies.items():
            own["requests", method, route, str(int(status))] += sum(tally.times)
            own["seconds", route] += tally.seconds  # type: ignore[assignment]
            for place, count in enumerate(tally.times):
                if count:
                    own["times", route, str(place)] += count
            if tally.from_memory:
                own["memory", route] += tally.from_memory
        own.update(self._more())
        return own
