"""The performance of a loop as one: which sections are judged, and what one of them passes to another.

Owns: the order of heat, flow, filling and space. Does not own: judging any of them.
Heat comes first where it is asked for: flow is reported at the temperature it finds, and filling reckons with its
hottest coolant. What flows is found out once.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from types import MappingProxyType
from typing import NamedTuple

from kb.evidence.tree import Finding, Missing
from kb.formulas.flow.pipe_network import NetworkError
from kb.formulas.solvers.linear import NoSolutionError
from kb.loops.assumptions import given_or_assumed
from kb.loops.coolant import LoopCoolant, loop_coolant
from kb.loops.fill.judge import FillPlan, judge_fill
from kb.loops.flow.judge import FlowPerformance, judge_flow
from kb.loops.flow.network import NO_FLOW_FOUND, LoopNetwork, build_network
from kb.loops.heat.judge import COOLANT_TEMPERATURE, HeatPerformance, judge_heat
from kb.loops.loop import ResolvedLoop
from kb.loops.space.judge import SpaceCheck, judge_space
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.messages import Gap
from schemas.questions.choices import Section

NOTHING_SAID: Mapping[Section, str] = MappingProxyType(
    {
        Section.FLOW: Gap.FLOW_DATA_MISSING.value,
        Section.HEAT: Gap.HEAT_DATA_MISSING.value,
        Section.FILL: Gap.FILL_DATA_MISSING.value,
        Section.SPACE: Gap.SPACE_DATA_MISSING.value,
    }
)


class LoopPerformance(NamedTuple):
    """What was found of each section that was judged; `None` for the others.

    Attributes:
        unsolved: sections that need to know what flows, and the finding that nobody knows it.
        flow: what was found of the flow.
        heat: what was found of the heat.
        fill: what was found of filling and maintenance.
        space: what was found of space, screws and weight.
    """

    unsolved: Mapping[Section, Finding]
    flow: FlowPerformance | None
    heat: HeatPerformance | None
    fill: FillPlan | None
    space: SpaceCheck | None

    def findings(self) -> Mapping[Section, Sequence[Finding]]:
        """Return the findings of every section that was judged."""
        found: dict[Section, Sequence[Finding]] = {section: (gap,) for section, gap in self.unsolved.items()}
        results = {Section.FLOW: self.flow, Section.HEAT: self.heat, Section.FILL: self.fill, Section.SPACE: self.space}
        found |= {section: performance.findings for section, performance in results.items() if performance is not None}
        return {section: found[section] for section in Section if section in found}


def judge_performance(snapshot: Snapshot, loop: ResolvedLoop, sections: Collection[Section]) -> LoopPerformance:
    """Judge the sections of performance that are asked for.

    Args:
        snapshot: the knowledge.
        loop: the loop.
        sections: what to judge; joints and chemistry among them are left to others.

    Raises:
        QuestionError: if the points of a pump are no curve, or a radiator has more fans than places.
    """
    flowing = [section for section in (Section.FLOW, Section.HEAT) if section in sections]
    coolant = loop_coolant(snapshot, loop) if flowing else None
    gap = coolant if isinstance(coolant, Finding) else None
    flow = heat = None
    if isinstance(coolant, LoopCoolant):
        network = build_network(snapshot, loop)
        try:
            loop.budget.check("heat")
            heat = judge_heat(snapshot, loop, coolant, network) if Section.HEAT in sections else None
            loop.budget.check("flow")
            flow = _flow(snapshot, loop, coolant, network, heat) if Section.FLOW in sections else None
        except (NetworkError, NoSolutionError):  # the latter where next to nothing flows
            heat, gap = None, _no_flow_found(loop)
    loop.budget.check("fill")
    fill = judge_fill(snapshot, loop, _hottest_c(heat)) if Section.FILL in sections else None
    loop.budget.check("space")
    space = judge_space(snapshot, loop) if Section.SPACE in sections else None
    return LoopPerformance(
        unsolved=dict.fromkeys(flowing, gap) if gap is not None else {},
        flow=flow and flow._replace(findings=_gaps(loop, Section.FLOW, flow.findings, bool(flow.states))),
        heat=heat and heat._replace(findings=_gaps(loop, Section.HEAT, heat.findings, heat.uncertainty is not None)),
        fill=fill and fill._replace(findings=_gaps(loop, Section.FILL, fill.findings, bool(fill.findings))),
        space=space and space._replace(findings=_gaps(loop, Section.SPACE, space.findings, bool(space.findings))),
    )


def _gaps(loop: ResolvedLoop, section: Section, found: Sequence[Finding], computed: bool) -> tuple[Finding, ...]:
    """Return findings, never well for want of anything to judge."""
    if computed or any(one.judgement is not Judgement.PASS for one in found):
        return tuple(found)
    name = loop.question.name
    gap = Finding(NOTHING_SAID[section], Judgement.GAP, name, (Missing(name, section.value, "parts"),))
    return (*found, gap)


def _no_flow_found(loop: ResolvedLoop) -> Finding:
    name = loop.question.name
    return Finding(NO_FLOW_FOUND, Judgement.GAP, name, (Missing(name, "flow", "parts"),))


def _flow(
    snapshot: Snapshot, loop: ResolvedLoop, coolant: LoopCoolant, network: LoopNetwork, heat: HeatPerformance | None
) -> FlowPerformance:
    mean_c = heat.mean_c if heat is not None else None
    if mean_c is None:
        mean_c = given_or_assumed(snapshot, loop, COOLANT_TEMPERATURE).value
    ends = heat.flow_ends if heat is not None and heat.mean_c is not None else MappingProxyType({})
    return judge_flow(snapshot, loop, coolant, mean_c, network, ends)


def _hottest_c(heat: HeatPerformance | None) -> float | None:
    if heat is None or heat.solved is None or heat.uncertainty is None:
        return None
    return heat.solved.hottest_c
