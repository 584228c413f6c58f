"""What is said about filling a loop.

Owns: which message is said. Does not own: what is decided, or the words (`kb/tables/messages.csv`).
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from kb.loops.fill.ports import Place, Why
from kb.report.sentences.words import words
from kb.store.snapshot import Snapshot
from schemas.messages import Text

_FILL_REASONS: Mapping[Why, Text] = MappingProxyType(
    {Why.NAMED: Text.FILL_PORT_NAMED, Why.FREE: Text.FILL_PORT_FREE, Why.FILL_PORT: Text.FILL_PORT_OF_PART}
)
_DRAIN_REASONS: Mapping[Why, Text] = MappingProxyType(
    {Why.NAMED: Text.DRAIN_PORT_NAMED, Why.VALVE: Text.DRAIN_VALVE, Why.LOWEST: Text.DRAIN_LOWEST_PORT}
)


def fill_reason(snapshot: Snapshot, place: Place) -> str:
    """Return why coolant can be poured in at a place."""
    return words(snapshot, _FILL_REASONS[place.why])


def drain_reason(snapshot: Snapshot, place: Place) -> str:
    """Return why coolant can be let out at a place."""
    return words(snapshot, _DRAIN_REASONS[place.why])


def lowest_part_reason(snapshot: Snapshot) -> str:
    """Return why a joint of the lowest part is opened last."""
    return words(snapshot, Text.DRAIN_LOWEST_PART)
