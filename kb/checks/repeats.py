"""Rows that say what an earlier row says already.

Owns: finding repeated keys. Does not own: a check of its own, or what makes two rows the same.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from typing import TypeVar

Row = TypeVar("Row")


def repeats(rows: Iterable[Row], key: Callable[[Row], Hashable]) -> Iterator[tuple[Row, Row]]:
    """Yield every row whose key an earlier row has, together with the first that has it.

    >>> list(repeats(["ab", "cd", "ax"], lambda word: word[0]))
    [('ax', 'ab')]
    """
    first: dict[Hashable, Row] = {}
    for row in rows:
        earlier = first.setdefault(key(row), row)
        if earlier is not row:
            yield row, earlier
