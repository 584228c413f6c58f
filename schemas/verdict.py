"""The four verdicts and their order.

Owns: the closed set of verdicts and "worst of many". Does not own: how a verdict is reached.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum


class Verdict(StrEnum):
    """How two parts, or a whole loop, get on; no data is `unknown`, never `compatible`."""

    COMPATIBLE = "compatible"
    CONDITIONAL = "conditional"
    UNKNOWN = "unknown"
    INCOMPATIBLE = "incompatible"

    @property
    def severity(self) -> int:
        """0 (compatible) to 3 (incompatible) [-].

        >>> Verdict.UNKNOWN.severity
        2
        """
        return _SEVERITY[self]


_SEVERITY = {verdict: rank for rank, verdict in enumerate(Verdict)}


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """Return the most severe verdict: incompatible > unknown > conditional > compatible.

    Args:
        verdicts: any number of verdicts; none at all means nothing is known.

    >>> worst([Verdict.COMPATIBLE, Verdict.UNKNOWN, Verdict.CONDITIONAL]).value
    'unknown'
    >>> worst([]).value
    'unknown'
    """
    return max(verdicts, key=_SEVERITY.__getitem__, default=Verdict.UNKNOWN)
