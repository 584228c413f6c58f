"""What screws do in the plate of a radiator: do they hold, and do they stay clear of the core?

Owns: choosing the figures and judging them. Does not own: lengths (`kb/formulas/fit/fan_screws.py`) or limits.
How deep a frame is free behind its plate is on no spec sheet. Where nobody measured it, the verdict is unknown; a
screw that reaches further than frame and core leave altogether is wrong however the core sits.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal, NamedTuple

from kb.evidence.limits import judge_number
from kb.evidence.tree import Fact, Finding, Missing, Number
from kb.formulas.fit.counts import differing
from kb.formulas.fit.fan_screws import (
    Clamped,
    engagement_diameters,
    least_gap_mm,
    longest_length_mm,
    middle_core_free_mm,
    reach_mm,
    shortest_length_mm,
    thread_diameter_mm,
)
from kb.loops.assumptions import Given, given_or_assumed
from kb.loops.loop import ResolvedLoop
from kb.loops.space.radiator_place import RadiatorPlace
from kb.parts.dimensions import DIMENSION_MISSING
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.messages import Gap
from schemas.questions.loop import Screws
from schemas.tables.assumptions import Assumption
from schemas.tables.radiators import ScrewThread
from schemas.verdict import Verdict

FREE_DEPTH_MISSING = Gap.FREE_DEPTH_MISSING.value
ENGAGEMENT = "quantity/screw-engagement"
GAP = "quantity/screw-gap"


class Free(NamedTuple):
    """Free depth behind the outside of the plate.

    Attributes:
        depth_mm: `None` if nobody knows.
        how_known: stated, estimated as if the core sat in the middle of the frame, or unknown.
        most_mm: what frame and core leave on both sides together; `None` if nobody knows.
        facts: where it comes from.
    """

    depth_mm: float | None
    how_known: Literal["stated", "estimated", "unknown"]
    most_mm: float | None
    facts: tuple[Fact, ...]


class JudgedScrews(NamedTuple):
    """Screws in a radiator.

    Attributes:
        place: the radiator.
        thread: of its holes.
        length_mm: of the screws.
        clamped: what they clamp.
        free: what they have behind the plate.
        shortest_mm: shortest screw that holds.
        longest_mm: longest that stays clear of the core; `None` if nobody knows.
        findings: every reason.
        assumed: rows that stood in for what nobody said.
    """

    place: str
    thread: ScrewThread
    length_mm: float
    clamped: Clamped
    free: Free
    shortest_mm: float
    longest_mm: float | None
    findings: tuple[Finding, ...]
    assumed: tuple[Assumption, ...]


class _Inputs(NamedTuple):
    screws: Screws
    thread: ScrewThread
    clamped: Clamped
    facts: tuple[Fact, ...]
    tolerances: tuple[Given, ...]


def screws_of(
    snapshot: Snapshot, loop: ResolvedLoop, placed: RadiatorPlace
) -> tuple[JudgedScrews | None, tuple[Finding, ...]]:
    """Return what the screws of a radiator do, or what is missing to judge them; nothing if none are named.

    Args:
        snapshot: the knowledge.
        loop: the loop.
        placed: the radiator.
    """
    if placed.screws is None:
        return None, ()
    own = placed.own("fan_screw")
    thread = placed.row.fan_screw if placed.row is not None else placed.screws.thread
    if thread is None or placed.fan_thickness is None:
        what = ("thread", "screws.thread") if thread is None else ("thickness of the fans", "fans")
        missing = Missing(placed.name, what[0], f"parts.{placed.name}.{what[1]}")
        return None, (Finding(DIMENSION_MISSING, Judgement.GAP, placed.name, (missing,)),)
    inputs = _inputs(snapshot, loop, placed, placed.screws, thread, placed.fan_thickness)
    free = _free(placed)
    findings = [*_thread_findings(snapshot, placed, own), _engagement(snapshot, placed, inputs)]
    longest = _longest(snapshot, placed, inputs, free)
    findings.append(_gap(snapshot, placed, inputs, free, longest))
    judged = JudgedScrews(
        place=placed.name,
        thread=thread,
        length_mm=placed.screws.length_mm,
        clamped=inputs.clamped,
        free=free,
        shortest_mm=_shortest(snapshot, placed, inputs),
        longest_mm=longest,
        findings=tuple(findings),
        assumed=tuple(given.row for given in inputs.tolerances if given.row is not None),
    )
    return judged, ()


def _inputs(
    snapshot: Snapshot, loop: ResolvedLoop, placed: RadiatorPlace, screws: Screws, thread: ScrewThread, fan: Fact
) -> _Inputs:
    names = ("fan-thickness-tolerance", "screw-length-tolerance")
    tolerances = tuple(given_or_assumed(snapshot, loop, f"quantity/{name}") for name in names)
    clamped = Clamped(float(fan.value) + screws.washer_mm, tolerances[0].value, tolerances[1].value)
    said = [Fact(f"screws of {placed.name}", "length_mm", screws.length_mm, "", "")]
    if screws.washer_mm:
        said.append(Fact(f"screws of {placed.name}", "washer_mm", screws.washer_mm, "", ""))
    return _Inputs(screws, thread, clamped, (*said, fan, *(one.fact for one in tolerances)), tolerances)


def _free(placed: RadiatorPlace) -> Free:
    assert placed.screws is not None
    stated = placed.screws.behind_plate_mm
    row = placed.row
    facts = tuple(fact for name in ("thickness_mm", "core_depth_mm") if (fact := placed.own(name)) is not None)
    most = row.thickness_mm - row.core_depth_mm if row is not None else None
    if stated is not None:
        return Free(stated, "stated", most, (Fact(f"screws of {placed.name}", "behind_plate_mm", stated, "", ""),))
    if row is None:
        return Free(None, "unknown", None, ())
    return Free(middle_core_free_mm(row.thickness_mm, row.core_depth_mm), "estimated", most, facts)


def _thread_findings(snapshot: Snapshot, placed: RadiatorPlace, own: Fact | None) -> Iterator[Finding]:
    """Judge the thread of the screws against that of the holes, where both are known."""
    stated = placed.screws.thread if placed.screws is not None else None
    if stated is None or own is None:
        return
    facts = (Fact(f"screws of {placed.name}", "fan_screw", stated.value, "", ""), own)
    number = Number("quantity/screw-threads-differing", differing(stated.value, str(own.value)), facts)
    yield judge_number(snapshot, number, placed.families, f"{placed.name}, screws")


def _engagement(snapshot: Snapshot, placed: RadiatorPlace, inputs: _Inputs) -> Finding:
    held = engagement_diameters(inputs.screws.length_mm, inputs.clamped, thread_diameter_mm(inputs.thread))
    number = Number(ENGAGEMENT, held, inputs.facts)
    return judge_number(snapshot, number, placed.families, f"{placed.name}, screws")


def _gap(snapshot: Snapshot, placed: RadiatorPlace, inputs: _Inputs, free: Free, longest: float | None) -> Finding:
    """Judge the gap to the core by the stated depth; without one by the most there can be, and else it is unknown."""
    place, length = f"{placed.name}, screws", inputs.screws.length_mm
    depth = free.depth_mm if free.how_known == "stated" else free.most_mm
    if depth is not None:
        gap = least_gap_mm(length, inputs.clamped, depth)
        number = Number(GAP, gap, (*inputs.facts, *free.facts))
        found = judge_number(snapshot, number, placed.families, place)
        if free.how_known == "stated" or found.verdict is Verdict.INCOMPATIBLE:
            return found
    missing = Missing(placed.name, "free depth behind the plate", f"parts.{placed.name}.screws.behind_plate_mm")
    if longest is None:
        return Finding(FREE_DEPTH_MISSING, Judgement.GAP, place, (missing,))
    safe = Number("quantity/screw-length-safe", longest, (*inputs.facts, *free.facts))
    return Finding(FREE_DEPTH_MISSING, Judgement.GAP, place, (missing, safe))


def _shortest(snapshot: Snapshot, placed: RadiatorPlace, inputs: _Inputs) -> float:
    wanted = _tightest(snapshot, ENGAGEMENT, placed.families) * thread_diameter_mm(inputs.thread)
    return shortest_length_mm(inputs.clamped, wanted)


def _longest(snapshot: Snapshot, placed: RadiatorPlace, inputs: _Inputs, free: Free) -> float | None:
    if free.depth_mm is None:
        return None
    return longest_length_mm(inputs.clamped, free.depth_mm, _tightest(snapshot, GAP, placed.families))


def _tightest(snapshot: Snapshot, quantity: str, families: tuple[str, ...]) -> float:
    """Return the tightest lower limit of a quantity; 0 if it has none."""
    return next((limit.value for limit in snapshot.limit_set(quantity, families).at_least), 0.0)


def reach_of(one: JudgedScrews) -> float:
    """Return how far the screws stand inside at nominal size [mm]."""
    return reach_mm(one.length_mm, one.clamped)
