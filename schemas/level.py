"""What a row or a finding says: the level of what is wrong, a pass, or a gap; and where it is told.

Owns: these closed sets, their order and the verdict that each comes to. Does not own: how a verdict is reached
(`kb/evidence/verdicts.py`).
"""

from __future__ import annotations

from enum import StrEnum
from types import MappingProxyType

from schemas.verdict import Verdict


class Level(StrEnum):
    """How bad a finding is: it does not work or harms, names an open requirement, or is only to be known."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


class Judgement(StrEnum):
    """What one row or finding says: a level, nothing against it, or that nobody knows.

    >>> Judgement.WARNING.verdict.value, Judgement.PASS.level
    ('conditional', None)
    """

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"
    PASS = "pass"
    GAP = "gap"

    @property
    def level(self) -> Level | None:
        """The level; `None` for a pass and a gap, which have none."""
        return _LEVELS.get(self)

    @property
    def verdict(self) -> Verdict:
        """The verdict that follows as long as a requirement is open and a gap decides."""
        return _VERDICTS[self]

    @property
    def severity(self) -> int:
        """Larger is worse: pass, note, warning, gap, error [-]."""
        return _SEVERITY[self]


class RequirementState(StrEnum):
    """How a requirement stands."""

    OPEN = "open"
    IMPLIED = "implied"
    MET = "met"
    CONTRADICTED = "contradicted"
    IDLE = "idle"


class Scope(StrEnum):
    """Where a row is told: of two things that meet, of the fluid as a whole, or where a circumstance bites."""

    COUPLE = "couple"
    FLUID = "fluid"
    CIRCUMSTANCE = "circumstance"


_LEVELS = MappingProxyType({Judgement(level.value): level for level in Level})
_VERDICTS = MappingProxyType(
    {
        Judgement.PASS: Verdict.COMPATIBLE,
        Judgement.NOTE: Verdict.COMPATIBLE,
        Judgement.WARNING: Verdict.CONDITIONAL,
        Judgement.GAP: Verdict.UNKNOWN,
        Judgement.ERROR: Verdict.INCOMPATIBLE,
    }
)
_SEVERITY = MappingProxyType({judgement: place for place, judgement in enumerate(_VERDICTS)})
