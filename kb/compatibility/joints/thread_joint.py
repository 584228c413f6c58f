"""An external thread in an internal one, with what surrounds them: length, depth, collar and bore.

Owns: which quantities of a screwed joint are judged, at which end of the tolerances. Does not own: formulas
(`kb/formulas/fit/thread_mating.py`, `kb/formulas/fit/port_fit.py`), limits, or where a joint seals (rules).
"""

from __future__ import annotations

import math
from typing import NamedTuple, TypeAlias

from kb.compatibility.joints.thread_profile import ThreadProfile, thread_profile
from kb.evidence.limits import judge_number
from kb.evidence.tree import Fact, Finding, Missing, Node, Number, RequirementCheck
from kb.formulas.fit import port_fit, thread_mating
from kb.parts.dimensions import DIMENSION_MISSING, TOLERANCE_MISSING
from kb.parts.part import Element, ElementKind
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.tables.fitting_ends import FittingEnd
from schemas.tables.thread_tolerances import ThreadSide
from schemas.tables.threads import SealsOn


class _Mating(NamedTuple):
    external: ThreadProfile
    internal: ThreadProfile


_Described: TypeAlias = tuple[Number, tuple[Node, ...]]


def judge_screwed(snapshot: Snapshot, male: Element, female: Element, place: str) -> list[Finding]:
    """Judge a male thread in a female one: form, pitch, entering, overlap, binding, tightest fit, bore and lengths.

    Args:
        snapshot: the knowledge.
        male: a bare thread or male end.
        female: a bare thread, port or female end.
        place: name of the joint.
    """
    outer, inner = _bare(male), _bare(female)
    external = thread_profile(snapshot, outer, ThreadSide.EXTERNAL)
    internal = thread_profile(snapshot, inner, ThreadSide.INTERNAL)
    missing = [one for one in (external, internal) if isinstance(one, Missing)]
    if isinstance(external, Missing) or isinstance(internal, Missing):
        return [Finding(DIMENSION_MISSING, Judgement.GAP, place, (one,)) for one in missing]
    findings = _mating_findings(snapshot, _Mating(external, internal), outer.families, place)
    findings += _without_tolerance(place, (outer, external), (inner, internal))
    findings.append(_bore(snapshot, male, external, outer.families, place))
    return findings + _length_findings(snapshot, male, female, external.pitch, place)


def _bare(element: Element) -> Element:
    return element.thread if element.thread is not None else element


def _mating_findings(snapshot: Snapshot, mating: _Mating, families: tuple[str, ...], place: str) -> list[Finding]:
    described = [_angle(mating), _pitch(mating), _entry(mating), _tightest(mating), _overlap(mating)]
    turns = _turns(mating)
    if turns is not None:
        described.append((turns, ()))
    return [judge_number(snapshot, number, families, place, *also) for number, also in described]


def _angle(mating: _Mating) -> _Described:
    external, internal = mating
    value = thread_mating.form_angle_difference_deg(external.form_angle_deg, internal.form_angle_deg)
    facts = external.facts.angle + internal.facts.angle
    return Number("quantity/thread-form-angle-difference", value, facts), ()


def _pitch(mating: _Mating) -> _Described:
    external, internal = mating
    value = thread_mating.pitch_difference_mm(external.pitch, internal.pitch)
    facts = external.facts.pitch + internal.facts.pitch
    own = Number("quantity/thread-pitch", external.pitch, external.facts.pitch)
    return Number("quantity/thread-pitch-difference", value, facts), (own,)


def _entry(mating: _Mating) -> _Described:
    """Describe the loosest play, with the basic sizes beside it: near sizes of two systems are told by them."""
    external, internal = mating
    tip, mouth = external.pitch_diameter, internal.pitch_diameter
    basic = (
        Number("quantity/thread-pitch-diameter-tip", tip, external.facts.pitch_diameter),
        Number("quantity/thread-pitch-diameter-mouth", mouth, internal.facts.pitch_diameter),
    )
    return _clearance("quantity/thread-entry-clearance", mating, _entry_clearance(mating)), basic


def _tightest(mating: _Mating) -> _Described:
    external, internal = mating
    value = thread_mating.pitch_diameter_clearance_mm(internal.pitch_diameter_low, external.pitch_diameter_high)
    return _clearance("quantity/thread-tightest-clearance", mating, value), ()


def _entry_clearance(mating: _Mating) -> float:
    external, internal = mating
    return thread_mating.pitch_diameter_clearance_mm(internal.pitch_diameter_high, external.pitch_diameter_low)


def _clearance(quantity: str, mating: _Mating, value: float) -> Number:
    facts = mating.external.facts.pitch_diameter + mating.internal.facts.pitch_diameter
    return Number(quantity, value, facts)


def _overlap(mating: _Mating) -> _Described:
    external, internal = mating
    facts = external.facts.crests + internal.facts.crests
    majors = external.facts.major + internal.facts.major
    value = _crest_overlap(mating)
    return Number("quantity/thread-crest-overlap", value, facts), majors


def _crest_overlap(mating: _Mating) -> float:
    external, internal = mating
    return thread_mating.crest_overlap_percent(external.major_low, internal.minor_high, external.height)


def _turns(mating: _Mating) -> Number | None:
    """Return the turns until the threads bind; nothing where they never do or never catch."""
    external, internal = mating
    error = thread_mating.pitch_error_on_diameter(external.pitch - internal.pitch, external.form_angle_deg)
    taper = max(external.taper_on_diameter, internal.taper_on_diameter)
    turns = thread_mating.turns_until_binding(_entry_clearance(mating), external.pitch, taper, error)
    if not math.isfinite(turns) or _crest_overlap(mating) <= 0:
        return None
    facts = external.facts.everything + internal.facts.everything
    return Number("quantity/thread-turns-until-binding", turns, facts)


def _without_tolerance(place: str, *sides: tuple[Element, ThreadProfile]) -> list[Finding]:
    return [
        Finding(
            TOLERANCE_MISSING,
            Judgement.WARNING,
            place,
            (Missing(thread.label, "thread tolerance", ""),),
            requirement=RequirementCheck("requirement/thread-tried"),
        )
        for thread, profile in sides
        if not profile.has_tolerance
    ]


def _bore(snapshot: Snapshot, male: Element, external: ThreadProfile, families: tuple[str, ...], place: str) -> Finding:
    """Judge the wall under the thread if the bore is known; else say which bore the thread allows."""
    minor = external.facts.root
    bore = male.fact("bore_mm") if male.kind is ElementKind.MALE_THREAD else None
    if bore is not None:
        wall = thread_mating.wall_under_thread_mm(external.minor_basic, float(bore.value))
        number = Number("quantity/thread-wall", wall, (*minor, bore))
        return judge_number(snapshot, number, families, place)
    least = _least_wall(snapshot, families)
    inputs = minor if least is None else (*minor, least)
    largest = thread_mating.largest_bore_mm(external.minor_basic, 0.0 if least is None else float(least.value))
    number = Number("quantity/thread-bore-max", largest, inputs)
    return judge_number(snapshot, number, families, place, *_bore_over_name(_bare(male), number))


def _bore_over_name(thread: Element, bore: Number) -> tuple[Number, ...]:
    """Return how the largest bore compares with the size in the thread's name, which no dimension need equal."""
    name = thread.fact("nominal_mm")
    if name is None:
        return ()
    ratio = thread_mating.bore_over_name(bore.value, float(name.value))
    return (Number("quantity/thread-bore-over-name", ratio, (bore, name)),)


def _least_wall(snapshot: Snapshot, families: tuple[str, ...]) -> Fact | None:
    """Return the limit of the wall under a thread as a fact: it also says how large a bore may be."""
    limit_set = snapshot.limit_set("quantity/thread-wall", families).at_least
    return (
        Fact(limit_set[0].id, "value", limit_set[0].value, limit_set[0].source_id, limit_set[0].locator or "")
        if limit_set
        else None
    )


def _length_findings(snapshot: Snapshot, male: Element, female: Element, pitch: float, place: str) -> list[Finding]:
    length = male.fact("thread_length_mm") if male.kind is ElementKind.MALE_THREAD else None
    depth = _depth(female)
    findings: list[Finding] = []
    if length is not None and depth is not None and not _wedges(male):
        turns = port_fit.engaged_turns(float(length.value), float(depth.value), pitch)
        room = port_fit.bottoming_clearance_mm(float(length.value), float(depth.value))
        numbers = (
            Number("quantity/thread-engagement-turns", turns, (length, depth)),
            Number("quantity/thread-bottoming-clearance", room, (length, depth)),
        )
        findings += [judge_number(snapshot, number, male.families, place) for number in numbers]
    return findings + _seat(snapshot, male, female, place)


def _wedges(male: Element) -> bool:
    """Return whether a thread stops by its taper; its length then says nothing about bottom or turns."""
    return isinstance(male.row, FittingEnd) and male.row.seals_on is SealsOn.THREAD


def _depth(female: Element) -> Fact | None:
    if female.kind is ElementKind.PORT:
        return female.fact("thread_depth_min_mm")
    return female.fact("thread_length_mm") if female.kind is ElementKind.FEMALE_THREAD else None


def _seat(snapshot: Snapshot, male: Element, female: Element, place: str) -> list[Finding]:
    if male.kind is not ElementKind.MALE_THREAD or female.kind is not ElementKind.PORT:
        return []
    collar, flat = male.fact("collar_diameter_mm"), female.fact("spotface_diameter_min_mm")
    if collar is None or flat is None:
        return []
    room = port_fit.seat_clearance_mm(float(flat.value), float(collar.value))
    number = Number("quantity/seat-clearance", room, (flat, collar))
    return [judge_number(snapshot, number, male.families, place)]
