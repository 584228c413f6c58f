"""An external thread in an internal one, with what surrounds them: length, depth, collar and bore.

Owns: which quantities of a screwed joint are judged, at which end of the tolerances. Does not own: formulas
(`kb/fit/thread_mating.py`, `kb/fit/port_fit.py`), limits, or where a joint seals (rules).
"""

from __future__ import annotations

import math

from kb.evidence import Fact, Finding, Missing, Number
from kb.fit import port_fit, thread_mating
from kb.joints.spans import DIMENSION_MISSING, TOLERANCE_MISSING
from kb.joints.thread_profile import ThreadProfile, thread_profile
from kb.limits import judge_number
from kb.parts import Element, ElementKind
from kb.snapshot import Snapshot
from schemas.tables.thread_tolerances import ThreadSide
from schemas.verdict import Verdict

_MATING = "kb.fit.thread_mating"
_PORT = "kb.fit.port_fit"


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
        return [Finding(DIMENSION_MISSING, Verdict.UNKNOWN, place, (one,)) for one in missing]
    numbers = _mating_numbers(external, internal)
    findings = [judge_number(snapshot, number, outer.families, place) for number in numbers]
    findings += _without_tolerance(place, (outer, external), (inner, internal))
    findings.append(_bore(snapshot, male, external, outer.families, place))
    return findings + _length_findings(snapshot, male, female, external.pitch, place)


def _bare(element: Element) -> Element:
    return element.thread if element.thread is not None else element


def _mating_numbers(external: ThreadProfile, internal: ThreadProfile) -> list[Number]:
    facts = external.facts + internal.facts
    clearance, formula = thread_mating.pitch_diameter_clearance_mm, f"{_MATING}.pitch_diameter_clearance_mm"
    angle = thread_mating.form_angle_difference_deg(external.form_angle_deg, internal.form_angle_deg)
    pitch = thread_mating.pitch_difference_mm(external.pitch, internal.pitch)
    entry = clearance(internal.pitch_diameter_high, external.pitch_diameter_low)
    tightest = clearance(internal.pitch_diameter_low, external.pitch_diameter_high)
    overlap = thread_mating.crest_overlap_percent(external.major_low, internal.minor_high, external.height)
    numbers = [
        Number("quantity/thread-form-angle-difference", angle, f"{_MATING}.form_angle_difference_deg", facts),
        Number("quantity/thread-pitch-difference", pitch, f"{_MATING}.pitch_difference_mm", facts),
        Number("quantity/thread-entry-clearance", entry, formula, facts),
        Number("quantity/thread-tightest-clearance", tightest, formula, facts),
        Number("quantity/thread-crest-overlap", overlap, f"{_MATING}.crest_overlap_percent", facts),
    ]
    turns = _turns(external, internal, entry)
    if math.isfinite(turns) and overlap > 0:
        numbers.append(
            Number("quantity/thread-turns-until-binding", turns, f"{_MATING}.turns_until_binding", facts)
        )
    return numbers


def _turns(external: ThreadProfile, internal: ThreadProfile, entry: float) -> float:
    error = thread_mating.pitch_error_on_diameter(external.pitch - internal.pitch, external.form_angle_deg)
    taper = max(external.taper_on_diameter, internal.taper_on_diameter)
    return thread_mating.turns_until_binding(entry, external.pitch, taper, error)


def _without_tolerance(place: str, *sides: tuple[Element, ThreadProfile]) -> list[Finding]:
    return [
        Finding(TOLERANCE_MISSING, Verdict.CONDITIONAL, place, (Missing(thread.label, "thread tolerance", ""),))
        for thread, profile in sides
        if not profile.has_tolerance
    ]


def _bore(
    snapshot: Snapshot, male: Element, external: ThreadProfile, families: tuple[str, ...], place: str
) -> Finding:
    """Judge the wall under the thread if the bore is known; else say which bore the thread allows."""
    bore = male.fact("bore_mm") if male.kind is ElementKind.MALE_THREAD else None
    if bore is not None:
        wall = thread_mating.wall_under_thread_mm(external.minor_basic, float(bore.value))
        number = Number("quantity/thread-wall", wall, f"{_MATING}.wall_under_thread_mm", (*external.facts, bore))
        return judge_number(snapshot, number, families, place)
    least = _least_wall(snapshot, families)
    inputs = external.facts if least is None else (*external.facts, least)
    largest = thread_mating.largest_bore_mm(external.minor_basic, 0.0 if least is None else float(least.value))
    number = Number("quantity/thread-bore-max", largest, f"{_MATING}.largest_bore_mm", inputs)
    return judge_number(snapshot, number, families, place)


def _least_wall(snapshot: Snapshot, families: tuple[str, ...]) -> Fact | None:
    """Return the limit of the wall under a thread as a fact: it also says how large a bore may be."""
    ladder = snapshot.ladder("quantity/thread-wall", families).at_least
    return Fact(ladder[0].id, "value", ladder[0].value, ladder[0].source_id, ladder[0].locator or "") if ladder else None


def _length_findings(snapshot: Snapshot, male: Element, female: Element, pitch: float, place: str) -> list[Finding]:
    length = male.fact("thread_length_mm") if male.kind is ElementKind.MALE_THREAD else None
    depth = _depth(female)
    findings: list[Finding] = []
    if length is not None and depth is not None:
        turns = port_fit.engaged_turns(float(length.value), float(depth.value), pitch)
        room = port_fit.bottoming_clearance_mm(float(length.value), float(depth.value))
        numbers = (
            Number("quantity/thread-engagement-turns", turns, f"{_PORT}.engaged_turns", (length, depth)),
            Number("quantity/thread-bottoming-clearance", room, f"{_PORT}.bottoming_clearance_mm", (length, depth)),
        )
        findings += [judge_number(snapshot, number, male.families, place) for number in numbers]
    return findings + _seat(snapshot, male, female, place)


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
    number = Number("quantity/seat-clearance", room, f"{_PORT}.seat_clearance_mm", (flat, collar))
    return [judge_number(snapshot, number, male.families, place)]
