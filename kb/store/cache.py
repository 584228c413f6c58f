"""Results kept for the next question, never more than fit.

Owns: a dictionary with a bound, and the four uses of it. Does not own: what is kept; it must follow from immutable rows
alone.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from threading import Lock
from typing import Any, Generic, TypeVar

Key = TypeVar("Key")
Value = TypeVar("Value")

MOST_REPORTED = 50_000  # more than the tables have rows, limits and rules that answers report; each below 1 kB
MOST_RULES = 40_000  # pairs of parts and families of which rules may speak; about 200 bytes each
MOST_FITTINGS = 100_000  # matches of fittings; about 100 bytes each
MOST_VERDICTS = 100_000  # of two ends; about 100 bytes each


class BoundedCache(Generic[Key, Value]):
    """Keeps results under keys; the oldest ones go when all together weigh too much. Threads may share it.

    >>> cached = BoundedCache[str, int](most=2)
    >>> [cached.get(word, lambda: len(word)) for word in ("a", "bb", "ccc", "a")], len(cached)
    ([1, 2, 3, 1], 2)
    """

    def __init__(self, most: int, weigh: Callable[[Value], int] = lambda _: 1) -> None:
        self._most = most
        self._weigh = weigh
        self._found: dict[Key, Value] = {}
        self._weight = 0
        self._changing = Lock()  # finding needs none: one look into a dictionary is whole
        self.find = self._found.get  # the result under a key, `None` if it is not there; quicker than `get`

    def __len__(self) -> int:
        return len(self._found)

    def get(self, key: Key, make: Callable[..., Value], *given: Any) -> Value:
        """Return the result under a key, making it if it is not there.

        Args:
            key: names the result; the same key must always mean the same result.
            make: makes it.
            given: what it is made of; quicker than a function that holds it.
        """
        found = self._found.get(key)
        return self._keep(key, make(*given)) if found is None else found

    def _keep(self, key: Key, made: Value) -> Value:
        with self._changing:
            cached = self._found.setdefault(key, made)
            if cached is made:
                self._weight += self._weigh(made)
            while self._weight > self._most and len(self._found) > 1:
                self._weight -= self._weigh(self._found.pop(next(iter(self._found))))
        return cached


class Memo:
    """What is kept of one snapshot for the next question: the one owner of caches of `kb`.

    Attributes:
        reported: rows and facts in the shape of answers and in words.
        rules: what the rules written about a pair of parts or families say while nobody states anything.
        fittings: fittings that join an archetype.
        verdicts: how two ends of archetypes get on.
    """

    def __init__(self) -> None:
        self.reported = BoundedCache[Hashable, Any](MOST_REPORTED)
        self.rules = BoundedCache[Hashable, Any](MOST_RULES)
        self.fittings = BoundedCache[Hashable, Any](MOST_FITTINGS, _fittings_in)
        self.verdicts = BoundedCache[Hashable, Any](MOST_VERDICTS)


def _fittings_in(found: Any) -> int:
    return 1 + len(getattr(found, "closest_first", found))
