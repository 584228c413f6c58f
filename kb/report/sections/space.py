"""Space, screws and weight of a loop in the shape of answers.

Owns: that step. Does not own: judging (`kb/loops/space/judge.py`) or words.
"""

from __future__ import annotations

from kb.formulas.fit.fan_screws import least_engagement_mm, least_gap_mm, thread_diameter_mm
from kb.loops.space.judge import SpaceDuty, Weight
from kb.loops.space.port_clearance import PortRoom
from kb.loops.space.screws import JudgedScrews, reach_of
from kb.loops.space.stacks import Meeting, Stack
from kb.report.answers.evidence import tell_assumed
from kb.store.snapshot import Snapshot
from schemas.answers.space import HolesTold, PortRoomTold, ScrewsTold, SpaceTold, StackTold, WeightTold
from schemas.verdict import worst


def tell_space(snapshot: Snapshot, duty: SpaceDuty) -> SpaceTold:
    """Return space, screws and weight in the shape of answers.

    Args:
        snapshot: the knowledge.
        duty: what was found.
    """
    return SpaceTold(
        verdict=worst(finding.verdict for finding in duty.findings),
        stacks=tuple(_stack(one) for one in duty.stacks),
        holes=tuple(_holes(one) for one in duty.meetings),
        screws=tuple(_screws(one) for one in duty.screws),
        port_room=tuple(_port(one) for one in duty.ports),
        weights=tuple(_weight(one) for one in duty.weights),
        assumed=tell_assumed(snapshot, duty.assumed),
    )


def _stack(one: Stack) -> StackTold:
    return StackTold(
        place=one.place,
        direction=one.direction,
        radiator_mm=one.radiator_mm,
        fans_mm=one.fans_mm,
        needed_mm=one.needed_mm,
        room_mm=one.room_mm,
        margin_mm=one.room_mm - one.needed_mm if one.room_mm is not None else None,
        verdict=one.finding.verdict if one.finding is not None else None,
    )


def _holes(one: Meeting) -> HolesTold:
    return HolesTold(
        place=one.place,
        what=one.what,
        between=one.between,
        first_mm=one.first_mm,
        second_mm=one.second_mm,
        difference_mm=abs(one.first_mm - one.second_mm),
        verdict=one.finding.verdict,
    )


def _screws(one: JudgedScrews) -> ScrewsTold:
    free = one.free.depth_mm
    return ScrewsTold(
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
        verdict=worst(finding.verdict for finding in one.findings),
    )


def _port(one: PortRoom) -> PortRoomTold:
    return PortRoomTold(
        place=one.port,
        fitting_mm=one.fitting_mm,
        bend_mm=one.bend_mm,
        needed_mm=one.needed_mm,
        room_mm=one.room_mm,
        verdict=one.finding.verdict,
    )


def _weight(one: Weight) -> WeightTold:
    return WeightTold(
        place=one.place,
        added_g=one.added_g,
        coolant_g=one.coolant_g,
        supported=one.supported,
        verdict=one.finding.verdict,
    )
