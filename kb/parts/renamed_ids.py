"""What became of an id that has another name now.

Owns: old id -> its row of `renamed_ids.csv`, and how that is said. Does not own: refusing ids
(`kb/parts/refused_ids.py`) or finding parts (`kb/parts/search/search.py`).
"""

from __future__ import annotations

from collections.abc import Mapping

from kb.store.snapshot import Snapshot
from schemas.tables.renamed_ids import RenamedId


def renamed_id(snapshot: Snapshot, written: str) -> RenamedId | None:
    """Return the row about an id that was renamed, `None` if this one never was.

    >>> from kb.knowledge_base import load
    >>> renamed_id(load().snapshot, "radiator/120x30-middle").new_id
    'radiator/120x30-medium'
    """
    return snapshot.derive(("renamed ids",), lambda: _by_old_id(snapshot)).get(written)


def renaming(row: RenamedId) -> str:
    """Return in words what was renamed, to what and when."""
    return f"{row.old_id} was renamed {row.new_id} on {row.renamed_on.isoformat()}"


def _by_old_id(snapshot: Snapshot) -> Mapping[str, RenamedId]:
    return {row.old_id: row for row in snapshot.active(RenamedId)}
