"""Answers kept as ready bytes for whoever asks the same again.

Owns: keeping them, never more than fit, those that were asked for last. Does not own: which answers may be kept
(`api/http/responses/edge.py`); one keeper belongs to one base, so nothing in it ever grows old.
"""

from __future__ import annotations

from collections import OrderedDict
from typing import NamedTuple, TypeAlias

_BESIDE_BYTES = 1200  # measured: key, head and places in the dictionary of one answer, beside question and body

QuestionKey: TypeAlias = tuple[bytes, ...]
HeaderList: TypeAlias = list[tuple[bytes, bytes]]


class ReadyAnswer(NamedTuple):
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


class ReadyAnswers:
    """Ready answers by question, within a bound on their bytes. Belongs to one event loop.

    >>> kept = ReadyAnswers(most_bytes=3000)
    >>> for path in (b"/a", b"/b", b"/c"):
    ...     kept.keep((path,), ReadyAnswer([], b"body", b""))
    >>> kept.get((b"/a",)), kept.get((b"/c",)).body
    (None, b'body')
    """

    def __init__(self, most_bytes: int) -> None:
        self._most_bytes = most_bytes
        self._kept: OrderedDict[QuestionKey, ReadyAnswer] = OrderedDict()
        self.bytes = 0

    def __len__(self) -> int:
        return len(self._kept)

    def get(self, key: QuestionKey) -> ReadyAnswer | None:
        """Return the answer to a question, `None` if it is not there."""
        found = self._kept.get(key)
        if found is not None:
            self._kept.move_to_end(key)
        return found

    def keep(self, key: QuestionKey, answer: ReadyAnswer) -> None:
        """Keep an answer; those that nobody asked for longest make room.

        Args:
            key: everything of the request that the answer depends on.
            answer: the answer.
        """
        weight = _weight(key, answer)
        if key in self._kept or weight > self._most_bytes:
            return
        self._kept[key] = answer
        self.bytes += weight
        while self.bytes > self._most_bytes:
            self.bytes -= _weight(*self._kept.popitem(last=False))


def _weight(key: QuestionKey, answer: ReadyAnswer) -> int:
    return _BESIDE_BYTES + sum(map(len, key)) + len(answer.body)
