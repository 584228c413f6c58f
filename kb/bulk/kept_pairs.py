"""Judged pairs kept between starts, beside the built tables.

Owns: the file they are kept in, and never trusting a wrong one. Does not own: the pairs (`kb/bulk/resolved.py`).
"""

from __future__ import annotations

import json
import os
import zipfile
from pathlib import Path

import numpy as np

from kb.bulk.outcomes import Outcome
from kb.bulk.resolved import NOT_JUDGED, ResolvedPairs
from kb.knowledge_base import KnowledgeBase
from kb.load import judging_code
from kb.store.frozen import content_key
from kb.store.temp_folder import TEMPORARY_PREFIX, temporary_folder
from schemas.verdict import Verdict

KEPT_FILES = 4  # one takes about as much as its array, 1.2 MB for 560 parts


def pairs_key(base: KnowledgeBase) -> str:
    """Return what names the pairs of a knowledge base: its tables, and the code that judges them."""
    ids = "\n".join(base.snapshot.ids()).encode()
    return content_key([*judging_code(), ("digest", base.snapshot.digest.encode()), ("ids", ids)])


def kept_pairs(base: KnowledgeBase, cache: Path) -> ResolvedPairs:
    """Return the pairs that were judged at earlier starts; none if there is no sound file of them."""
    ids = base.snapshot.ids()
    try:
        with np.load(_path(base, cache), allow_pickle=False) as file:
            cells, outcomes = file["cells"], [_outcome(*row) for row in json.loads(str(file["outcomes"]))]
    except (OSError, ValueError, TypeError, KeyError, EOFError, zipfile.BadZipFile):
        return ResolvedPairs(ids)
    empty = ResolvedPairs(ids)
    is_sound = cells.dtype == np.int32 and cells.shape == empty.cells.shape and len(set(outcomes)) == len(outcomes)
    if not is_sound or cells.min(initial=0) < NOT_JUDGED or cells.max(initial=-1) >= len(outcomes):
        return empty
    return ResolvedPairs(ids, cells, outcomes)


def keep_pairs(base: KnowledgeBase, pairs: ResolvedPairs, cache: Path) -> None:
    """Write judged pairs to a file that appears whole or not at all; where nothing can be written, nothing is kept."""
    try:
        cache.mkdir(parents=True, exist_ok=True)
        with temporary_folder(cache, TEMPORARY_PREFIX) as folder:
            draft = folder / "pairs.npz"
            np.savez(draft, cells=pairs.cells, outcomes=np.array(json.dumps(pairs.outcomes)))
            with draft.open("rb") as file:
                os.fsync(file.fileno())
            draft.replace(_path(base, cache))
        _prune(cache)
    except OSError:
        return


def _path(base: KnowledgeBase, cache: Path) -> Path:
    return cache / f"pairs-{pairs_key(base)}.npz"


def _outcome(verdict: str, code: str, decided_by: str, error: str) -> Outcome:
    return Outcome(Verdict(verdict) if verdict is not None else None, code, decided_by, error)


def _prune(cache: Path) -> None:
    files = sorted(cache.glob("pairs-*.npz"), key=lambda path: path.stat().st_mtime, reverse=True)
    for path in files[KEPT_FILES:]:
        path.unlink(missing_ok=True)
