"""Answers cached as bytes for whoever asks the same again.

Owns: keeping them, never more than fit, those that were asked for last. Does not own: which answers may be kept
(`api/http/responses/middleware.py`); one keeper belongs to one base, so nothing in it ever grows old.
"""

from __future__ import annotations

from collections import OrderedDict
from typing import NamedTuple, TypeAlias

_BESIDE_BYTES = 1200  # measured: key, head and places in the dictionary of one answer, beside question and body

QuestionKey: TypeAlias = tuple[bytes, ...]
HeaderList: TypeAlias = list[tuple[bytes, bytes]]


class CachedResponse(NamedTuple):
    """An answer as it goes over the wire.

    Attributes:
        headers: all headers that do not depend on who asks.
        body: the body.
        tag: its entity tag; empty if it has none.
        route: path template of the address that made it.
    """

    headers: HeaderList
    body: bytes
    tag: bytes
    route: str = ""


class ResponseCache:
    """Cached responses by question, within a bound on their bytes. Belongs to one event loop.

    >>> cached = ResponseCache(most_bytes=3000)
    >>> for path in (b"/a", b"/b", b"/c"):
    ...     cached.keep((path,), CachedResponse([], b"body", b""))
    >>> cached.get((b"/a",)), cached.get((b"/c",)).body
    (None, b'body')
    """

    def __init__(self, most_bytes: int) -> None:
        self._most_bytes = most_bytes
        self._cached: OrderedDict[QuestionKey, CachedResponse] = OrderedDict()
        self.bytes = 0

    def __len__(self) -> int:
        return len(self._cached)

    def get(self, key: QuestionKey) -> CachedResponse | None:
        """Return the answer to a question, `None` if it is not there."""
        found = self._cached.get(key)
        if found is not None:
            self._cached.move_to_end(key)
        return found

    def keep(self, key: QuestionKey, answer: CachedResponse) -> None:
        """Keep an answer; those that nobody asked for longest make room.

        Args:
            key: everything of the request that the answer depends on.
            answer: the answer.
        """
        weight = _weight(key, answer)
        if key in self._cached or weight > self._most_bytes:
            return
        self._cached[key] = answer
        self.bytes += weight
        while self.bytes > self._most_bytes:
            self.bytes -= _weight(*self._cached.popitem(last=False))


def _weight(key: QuestionKey, answer: CachedResponse) -> int:
    return _BESIDE_BYTES + sum(map(len, key)) + len(answer.body)
