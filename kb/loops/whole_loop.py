"""What is wrong with a loop whatever figures are given, and in which section it is told.

Owns: the place of each such finding among the sections that are judged, and the temperature at which materials are
judged. Does not own: the findings (a file each) or the other sections.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import TYPE_CHECKING

from kb.evidence.tree import Computed, Finding
from kb.loops.circulation import circulation_findings
from kb.loops.coolant_phase import COOLANT_TEMPERATURE, phase_findings
from kb.loops.fan_faults import fan_faults
from kb.loops.loop import ResolvedLoop
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.questions.choices import Section

if TYPE_CHECKING:
    from kb.loops.heat.judge import HeatPerformance

_CIRCULATION = (Section.FLOW, Section.HEAT, Section.JOINTS)
_UNCOOLED = frozenset({"heat-without-flow", "heat-without-radiator"})
_FANS = (Section.HEAT, Section.JOINTS)
_PHASE = (Section.HEAT, Section.FLOW, Section.CHEMISTRY, Section.FILL, Section.JOINTS)


def whole_loop_findings(
    snapshot: Snapshot,
    loop: ResolvedLoop,
    sections: Collection[Section],
    heat: HeatPerformance | None,
    warmest_c: float | None,
) -> Mapping[Section, list[Finding]]:
    """Return what is wrong whatever figures are given, each in the first section it belongs to that is judged.

    Args:
        snapshot: the knowledge.
        loop: the loop.
        sections: those that are judged.
        heat: what is told of the heat; `None` if nothing is.
        warmest_c: upper end of the computed coolant temperature [degC]; `None` if it was not computed.
    """
    found: dict[Section, list[Finding]] = {}

    def tell(places: Collection[Section], findings: list[Finding]) -> None:
        section = next((one for one in places if one in sections), None)
        if section is not None and findings:
            found.setdefault(section, []).extend(findings)

    tell(_CIRCULATION, circulation_findings(snapshot, loop, _uncooled(heat)))
    tell(_FANS, fan_faults(snapshot, loop, heat is not None, Section.SPACE in sections))
    tell(_PHASE, phase_findings(snapshot, loop, warmest_c))
    return found


def _uncooled(heat: HeatPerformance | None) -> frozenset[str]:
    """Return the blocks of which the heat of the loop tells that they have no flow or no radiator."""
    findings = heat.findings if heat is not None else ()
    return frozenset(one.place for one in findings if one.code in _UNCOOLED and one.judgement is Judgement.ERROR)


def materials_at(conditions: Mapping[str, float], warmest_c: float | None) -> Mapping[str, float]:
    """Return the conditions at which materials are judged: at the computed coolant temperature where it is the higher.

    Args:
        conditions: quantity id -> value the asker stated.
        warmest_c: upper end of the computed coolant temperature [degC], as a physical limit must hold at a probability
            of nine in ten; `None` if it was not computed.
    """
    if warmest_c is None or warmest_c <= conditions.get(COOLANT_TEMPERATURE, warmest_c - 1):
        return conditions
    return {**conditions, COOLANT_TEMPERATURE: Computed(warmest_c)}
