"""The four verdicts and their order.

Owns: the closed set of verdicts and "worst of many". Does not own: how a verdict is reached.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from enum import StrEnum
from operator import attrgetter
from typing import Any


class Verdict(StrEnum):
    """How two parts, or a whole loop, get on; no data is `unknown`, never `compatible`.

    Attributes:
        severity: 0 (compatible) to 3 (incompatible) [-].

    >>> Verdict.UNKNOWN.severity
    2
    """

    severity: int

    COMPATIBLE = "compatible"
    CONDITIONAL = "conditional"
    UNKNOWN = "unknown"
    INCOMPATIBLE = "incompatible"

    def __init__(self, _word: str) -> None:
        self.severity = len(type(self).__members__)  # of those before it

    @classmethod
    def __get_pydantic_core_schema__(cls, kind: Any, handler: Callable[[Any], Any]) -> dict[str, Any]:
        """Let pydantic write a verdict as the text that it is; asking each for its value takes 0.4 us longer."""
        return {**handler(kind), "serialization": {"type": "str"}}


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """Return the most severe verdict: incompatible > unknown > conditional > compatible.

    Args:
        verdicts: any number of verdicts; none at all means nothing is known.

    >>> worst([Verdict.COMPATIBLE, Verdict.UNKNOWN, Verdict.CONDITIONAL]).value
    'unknown'
    >>> worst([]).value
    'unknown'
    """
    return max(verdicts, key=attrgetter("severity"), default=Verdict.UNKNOWN)
