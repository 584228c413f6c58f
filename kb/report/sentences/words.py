"""The words of a message, from its row, with its places filled.

Owns: row -> text. Does not own: which message is said, or how numbers and names are written (the other modules here).
"""

from __future__ import annotations

from kb.store.snapshot import Snapshot
from schemas.messages import Gap, Text
from schemas.tables.messages import Message


def words(snapshot: Snapshot, message: Gap | Text, **places: str) -> str:
    """Return a message in words.

    Args:
        snapshot: where its row stands.
        message: which one.
        places: name -> text of every place that its words use.

    >>> from kb.knowledge_base import load
    >>> words(load().snapshot, Text.PAIR_COMPATIBLE, a="a tap", b="a sink")
    'a tap and a sink are compatible.'
    """
    return snapshot.get(Message, message.row_id).sentence.format_map(places)
