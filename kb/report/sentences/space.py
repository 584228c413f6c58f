"""The words about space and screws that are not rows of a table.

Owns: those sentences. Does not own: what is decided, or sentences of other subjects
(`kb/report/sentences/findings.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from kb.evidence.tree import Missing
from kb.loops.space.screws import FREE_DEPTH_MISSING

SPACE_MISSING_SENTENCES: Mapping[str, Callable[[Missing], str]] = MappingProxyType(
    {
        FREE_DEPTH_MISSING: lambda gap: (
            f"The {gap.what} of {gap.subject} is not specified, so whether its screws reach a tube is not known."
        ),
    }
)
SPACE_MISSING_REMEDIES: Mapping[str, str] = MappingProxyType(
    {
        FREE_DEPTH_MISSING: (
            "Measure from the outside of the threaded plate to the nearest tube or fin, and give behind_plate_mm."
        ),
    }
)
