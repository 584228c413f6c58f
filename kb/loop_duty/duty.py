"""The duty of a loop as one: which sections are judged, and what one of them tells another.

Owns: the order of flow, heat, filling and space. Does not own: judging any of them.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any, NamedTuple

from kb.evidence import Finding
from kb.loop_parts import ResolvedLoop
from kb.snapshot import Snapshot
from schemas.loop_questions import Section


class LoopDuty(NamedTuple):
    """What was found of each section that was judged; `None` for the others."""

    def findings(self) -> Mapping[Section, Sequence[Finding]]:
        """Return the findings of every section that was judged."""
        return {}

    def told(self, snapshot: Snapshot) -> dict[str, Any]:
        """Return the parts of the loop answer, by field."""
        return {}


def judge_duty(snapshot: Snapshot, loop: ResolvedLoop, sections: Collection[Section]) -> LoopDuty:
    """Judge the sections of duty that are asked for."""
    return LoopDuty()
