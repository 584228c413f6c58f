"""The ids nearest to what somebody wrote in the place of an id: for a mistyped one those alike, for words those meant.

Owns: which ids an error names. Does not own: what spec-sheet words can mean (`kb/parts/search/search.py`) or the error
(`kb/parts/resolver.py`).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import TypeAlias

MOST = 3
_MOST_READ = 200  # characters: what is longer is no id of ours
_ID_FORM = re.compile(r"[a-z]+/[a-z0-9-]+")

MeantBy: TypeAlias = Callable[[str, str | None], Sequence[str]]


def nothing_meant(_words: str, _kind: str | None) -> Sequence[str]:
    """Take words for nothing: for those who only ask for ids."""
    return ()


def near_ids(written: str, ids: Sequence[str], meant_by: MeantBy = nothing_meant) -> tuple[str, ...]:
    """Return the ids nearest to what was written, nearest first.

    Args:
        written: what stands in the place of an id.
        ids: ids that are valid there.
        meant_by: returns the ids that words can mean, of one kind or of all (`None`).

    >>> near_ids("tube/soft-10x17", ["tube/soft-10x16", "tube/soft-8x10", "thread/g-1-4"])[0]
    'tube/soft-10x16'
    >>> near_ids("G1/4", ["thread/g-1-4", "tube/soft-8x10"], lambda words, kind: ["thread/g-1-4"])
    ('thread/g-1-4',)
    """
    if _ID_FORM.fullmatch(written):
        return _alike(written, ids)
    kinds = {one.partition("/")[0] for one in ids}
    valid = frozenset(ids)
    meant = [one for one in meant_by(written, kinds.pop() if len(kinds) == 1 else None) if one in valid]
    return tuple(meant[:MOST]) or _alike(written, ids)


def _alike(written: str, ids: Sequence[str]) -> tuple[str, ...]:
    from rapidfuzz import process  # noqa: PLC0415 - only needed on the way to an error

    return tuple(match[0] for match in process.extract(written[:_MOST_READ], ids, limit=MOST))
