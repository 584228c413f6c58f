"""An index over the letters of very many ids: which of them share most with a word.

Owns: choosing ids worth comparing letter by letter. Does not own: comparing them (`kb/parts/near_ids.py`).
Three letters in a row are a gram. A word's rarest grams are looked up, for common ones say little and lie in most ids.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import numpy.typing as npt

_GRAM = 3
_MOST_READ = 20_000  # places of ids read for one word: a third of a millisecond
_MOST_CHOSEN = 100  # ids worth comparing
_SEPARATOR = "\n"  # stands in no id

Numbers = npt.NDArray[np.uint32]


class IdGrams:
    """The grams of ids, four bytes each, in three arrays. Built once, then only read.

    >>> IdGrams(["tube/soft-10x16", "tube/soft-8x10", "thread/g-1-4"]).sharing("tube/soft-10x17")
    [0, 1]
    """

    def __init__(self, ids: Sequence[str]) -> None:
        """Index ids by their slugs; the kind before it is shared by too many.

        Args:
            ids: ids in ASCII; each is known by its place among them.
        """
        text = np.frombuffer(_SEPARATOR.join(map(_indexed, ids)).encode(), dtype=np.uint8)
        keys = _keys(text)
        keys.sort()
        grams = (keys >> np.uint64(32)).astype(np.uint32)
        first = np.flatnonzero(np.diff(grams, prepend=0))
        self._places: Numbers = keys.astype(np.uint32)
        self._grams: Numbers = grams[first]
        self._ends = np.append(first, len(grams)).astype(np.uint32)
        self._lengths: Numbers = np.fromiter(map(len, ids), dtype=np.uint32, count=len(ids))

    def sharing(self, word: str) -> list[int]:
        """Return the places of the ids that share most of a word's rarest grams, ascending.

        Args:
            word: what stands in the place of an id; of what is not ASCII nothing is shared.
        """
        found: list[Numbers] = []
        read = 0
        for length, place in sorted(self._postings(word)):
            read += length
            if found and read > _MOST_READ:
                break
            found.append(self._places[self._ends[place] : self._ends[place + 1]])
        return self._commonest(np.concatenate(found)) if found else []

    def _commonest(self, places: Numbers) -> list[int]:
        """Return the places that stand there most often, ascending; of equals those of the shortest ids."""
        ids, times = np.unique(places, return_counts=True)
        best = np.lexsort((self._lengths[ids], -times))[:_MOST_CHOSEN]
        chosen: list[int] = np.sort(ids[best]).tolist()
        return chosen

    def _postings(self, word: str) -> Iterable[tuple[int, int]]:
        """Yield how many ids have a gram, and where it stands among all grams, for those of a word."""
        wanted = np.array(sorted(_grams_of(_indexed(word))), dtype=np.uint32)
        for gram, place in zip(wanted, np.searchsorted(self._grams, wanted).tolist(), strict=True):
            if place < len(self._grams) and self._grams[place] == gram:
                yield int(self._ends[place + 1] - self._ends[place]), place


def _indexed(written: str) -> str:
    """Return what of an id is indexed: its slug, with the slash as the mark of its beginning."""
    return "/" + written.rpartition("/")[2]


def _grams_of(text: str) -> set[int]:
    codes = text.encode("ascii", "replace")
    return {int.from_bytes(codes[at : at + _GRAM], "big") for at in range(len(codes) - _GRAM + 1)}


def _keys(text: npt.NDArray[np.uint8]) -> npt.NDArray[np.uint64]:
    """Return for each gram within an id: the gram in the upper half, the place of the id in the lower one."""
    ends = text == ord(_SEPARATOR)
    keys = text[:-2].astype(np.uint64)
    for after in (text[1:-1], text[2:]):
        keys <<= np.uint64(8)
        keys |= after
    keys <<= np.uint64(32)
    keys |= np.cumsum(ends, dtype=np.uint64)[:-2]
    within: npt.NDArray[np.uint64] = keys[~(ends[:-2] | ends[1:-1] | ends[2:])]
    return within
