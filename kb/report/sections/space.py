"""Space, screws and weight of a loop in the shape of answers.

Owns: that step. Does not own: judging (`kb/loops/space/judge.py`) or words.
"""

from __future__ import annotations

from kb.evidence.tree import verdict_of
from kb.formulas.fit.fan_screws import least_engagement_mm, least_gap_mm, thread_diameter_mm
from kb.loops.space.judge import SpaceCheck, Weight
from kb.loops.space.port_clearance import PortClearance
from kb.loops.space.screws import JudgedScrews, reach_of
from kb.loops.space.stacks import HoleMatch, Stack
from kb.report.answers.evidence import report_assumed
from kb.store.snapshot import Snapshot
from schemas.answers.space import AddedWeight, HoleFit, PortClearanceFit, ScrewFit, SpaceSection, StackFit


def report_space(snapshot: Snapshot, check: SpaceCheck) -> SpaceSection:
    """Return space, screws and weight in the shape of answers.

    Args:
        snapshot: the knowledge.
        check: what was found.
    """
    return SpaceSection(
        verdict=verdict_of(check.findings),
        stacks=tuple(_stack(one) for one in check.stacks),
        holes=tuple(_holes(one) for one in check.holes),
        screws=tuple(_screws(one) for one in check.screws),
        port_clearances=tuple(_port(one) for one in check.ports),
        weights=tuple(_weight(one) for one in check.weights),
        assumed=report_assumed(snapshot, check.assumed),
    )


def _stack(one: Stack) -> StackFit:
    return StackFit(
        place=one.place,
        direction=one.direction,
        radiator_mm=one.radiator_mm,
        fans_mm=one.fans_mm,
        needed_mm=one.needed_mm,
        available_mm=one.available_mm,
        margin_mm=one.available_mm - one.needed_mm if one.available_mm is not None else None,
        verdict=one.finding.verdict if one.finding is not None else None,
    )


def _holes(one: HoleMatch) -> HoleFit:
    return HoleFit(
        place=one.place,
        what=one.what,
        between=one.between,
        first_mm=one.first_mm,
        second_mm=one.second_mm,
        difference_mm=abs(one.first_mm - one.second_mm),
        verdict=one.finding.verdict,
    )


def _screws(one: JudgedScrews) -> ScrewFit:
    free = one.free.depth_mm
    return ScrewFit(
        place=one.place,
        thread=one.thread.value,
        thread_mm=thread_diameter_mm(one.thread),
        length_mm=one.length_mm,
        clamped_mm=one.clamped.thickness_mm,
        reach_mm=reach_of(one),
        engagement_mm=least_engagement_mm(one.length_mm, one.clamped),
        free_mm=free,
        free_known=one.free.how_known,
        margin_mm=least_gap_mm(one.length_mm, one.clamped, free) if free is not None else None,
        safe_length_low_mm=one.shortest_mm,
        safe_length_high_mm=one.longest_mm,
        verdict=verdict_of(one.findings),
    )


def _port(one: PortClearance) -> PortClearanceFit:
    return PortClearanceFit(
        place=one.port,
        fitting_mm=one.fitting_mm,
        bend_mm=one.bend_mm,
        needed_mm=one.needed_mm,
        available_mm=one.available_mm,
        verdict=one.finding.verdict,
    )


def _weight(one: Weight) -> AddedWeight:
    return AddedWeight(
        place=one.place,
        added_g=one.added_g,
        coolant_g=one.coolant_g,
        supported=one.supported,
        verdict=one.finding.verdict,
    )
