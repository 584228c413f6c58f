"""The words about filling a loop that are not rows of a table.

Owns: those sentences. Does not own: what is decided, or sentences of other subjects
(`kb/report/sentences/findings.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from kb.evidence.tree import Missing
from kb.loops.fill.judge import EXPANSION_SPACE_MISSING, VOLUME_MISSING
from kb.loops.fill.ports import Place, Why

FILL_MISSING_SENTENCES: Mapping[str, Callable[[Missing], str]] = MappingProxyType(
    {
        VOLUME_MISSING: lambda gap: (
            f"How much coolant {gap.subject} holds is not known: the loop takes more than is reported here."
        ),
        EXPANSION_SPACE_MISSING: lambda gap: (
            f"How much {gap.what} {gap.subject} has is not known, so whether warm coolant has enough cannot be judged."
        ),
    }
)
FILL_MISSING_REMEDIES: Mapping[str, str] = MappingProxyType(
    {
        VOLUME_MISSING: "Give its volume_ml, or for a tube its inside diameter.",
        EXPANSION_SPACE_MISSING: "Give air_ml of the reservoir: the air gap above the mark it is filled to.",
    }
)

_FILL_REASONS: Mapping[Why, str] = MappingProxyType(
    {
        Why.NAMED: "a port made for filling",
        Why.FREE: "a port of a reservoir that no run needs",
        Why.FILL_PORT: "it serves to fill and bleed",
    }
)
_DRAIN_REASONS: Mapping[Why, str] = MappingProxyType(
    {
        Why.NAMED: "a port made for draining",
        Why.VALVE: "a valve with a free end",
        Why.LOWEST: "a free port of the lowest part",
    }
)
LOWEST_PART = "the lowest part by the heights stated: what is left runs here, so open a joint here last"


def fill_reason(place: Place) -> str:
    """Return why coolant can be poured in at a place."""
    return _FILL_REASONS[place.why]


def drain_reason(place: Place) -> str:
    """Return why coolant can be let out at a place."""
    return _DRAIN_REASONS[place.why]
