"""The ids nearest to what somebody wrote in the place of an id: for a mistyped one those alike, for words those meant.

Owns: which ids an error names. Does not own: what spec-sheet words can mean (`kb/parts/search/search.py`), the index of
very many ids (`kb/parts/id_grams.py`) or the error (`kb/parts/resolver.py`).
"""

from __future__ import annotations

import re
import string
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, TypeAlias

from kb.store.snapshot import Snapshot

if TYPE_CHECKING:
    from kb.parts.id_grams import IdGrams

MOST = 3
MOST_COMPARED = 1000  # ids compared letter by letter, one or two milliseconds; of more, only those that share letters
_LONGEST_CHANGED = 80  # characters: what is longer is no id of ours
_MOST_READ = 200  # characters
_SOME = 100  # ids that are compared with what is like none
_ID_FORM = re.compile(r"[a-z]+/[a-z0-9-]+")
_LETTERS = string.ascii_lowercase + string.digits + "-"

MeantBy: TypeAlias = Callable[[str, str | None], Sequence[str]]


def nothing_meant(_words: str, _kind: str | None) -> Sequence[str]:
    """Take words for nothing: for those who only ask for ids."""
    return ()


class NearIds:
    """Valid ids, prepared for naming those nearest to what is none of them.

    >>> known = NearIds(["tube/soft-10x16", "tube/soft-8x10", "thread/g-1-4"])
    >>> known.to("tube/soft-10x17")[0]
    'tube/soft-10x16'
    >>> known.to("G1/4", lambda words, kind: ["thread/g-1-4"])
    ('thread/g-1-4',)
    """

    def __init__(self, ids: Sequence[str]) -> None:
        """Prepare ids; very many of them are indexed.

        Args:
            ids: ids that are valid in some place.
        """
        kinds = {one.partition("/")[0] for one in ids}
        self._ids, self._valid = ids, frozenset(ids)
        self._kind = kinds.pop() if len(kinds) == 1 else None
        self._grams = _grams(ids) if len(ids) > MOST_COMPARED else None

    def to(self, written: str, meant_by: MeantBy = nothing_meant) -> tuple[str, ...]:
        """Return the ids nearest to what was written, nearest first.

        Args:
            written: what stands in the place of an id.
            meant_by: returns the ids that words can mean, of one kind or of all (`None`).
        """
        if _ID_FORM.fullmatch(written):
            return self._alike(written)
        meant = [one for one in meant_by(written, self._kind) if one in self._valid]
        return tuple(meant[:MOST]) or self._alike(written)

    def _alike(self, written: str) -> tuple[str, ...]:
        from rapidfuzz import process  # noqa: PLC0415 - only needed on the way to an error

        written = written[:_MOST_READ]
        compared = self._ids if self._grams is None else self._worth_comparing(written, self._grams)
        return tuple(match[0] for match in process.extract(written, compared, limit=MOST))

    def _worth_comparing(self, written: str, grams: IdGrams) -> Sequence[str]:
        """Return all ids one slip away and those that share most letters; if they are few, some more."""
        slips = (one for one in _one_slip_away(written) if one in self._valid)
        sharing = (self._ids[place] for place in grams.sharing(written))
        found = list(dict.fromkeys((*slips, *sharing)))
        return found if len(found) >= MOST else list(dict.fromkeys((*found, *self._ids[:_SOME])))


def near_ids(written: str, ids: Sequence[str]) -> tuple[str, ...]:
    """Return the nearest of a few ids or names, nearest first.

    Args:
        written: what stands in the place of one.
        ids: those that are valid there.

    >>> near_ids("inn", ["in", "out"])[0]
    'in'
    """
    return NearIds(ids).to(written)


def ids_near(snapshot: Snapshot, tables: Sequence[str]) -> NearIds:
    """Return the ids of tables, prepared once for all that ask.

    Args:
        snapshot: the knowledge.
        tables: names of the tables.
    """
    return snapshot.derive(("near ids", *tables), lambda: NearIds(snapshot.ids(tables)))


def _grams(ids: Sequence[str]) -> IdGrams:
    from kb.parts.id_grams import IdGrams  # noqa: PLC0415 - numpy, which few ids do without

    return IdGrams(ids)


def _one_slip_away(written: str) -> Iterator[str]:
    """Yield what may have been meant if one letter is wrong, missing, too much, or changed places with the next."""
    if len(written) > _LONGEST_CHANGED:
        return
    for at in range(len(written) + 1):
        before, after = written[:at], written[at:]
        yield before + after[1:]
        yield before + after[1:2] + after[:1] + after[2:]
        for letter in _LETTERS:
            yield before + letter + after
            yield before + letter + after[1:]
