"""An external thread in an internal one, with what surrounds them: length, depth, collar and bore.

Owns: which quantities of a screwed joint are judged, at which end of the tolerances. Does not own: formulas
(`kb/fit/thread_mating.py`, `kb/fit/port_fit.py`), limits, or where a joint seals (rules).
"""

from __future__ import annotations

import math

from kb.evidence import Fact, Finding, Missing, Node, Number
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
_PROFILE = "kb.joints.thread_profile.thread_profile"
_ANGLE = "form_angle_deg"
_PITCH_COLUMNS = ("threads_per_inch", "pitch_mm")
_PITCH_DIAMETER_COLUMNS = (
    "pitch_diameter_mm",
    "major_mm",
    "taper_on_diameter",
    "gauge_length_mm",
    "pitch_diameter_lower_mm",
    "pitch_diameter_upper_mm",
)
_CREST_COLUMNS = ("major_mm", "minor_mm", "major_lower_mm", "minor_upper_mm")


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
    findings = _mating_findings(snapshot, external, internal, outer.families, place)
    findings += _without_tolerance(place, (outer, external), (inner, internal))
    findings.append(_bore(snapshot, male, external, outer.families, place))
    return findings + _length_findings(snapshot, male, female, external.pitch, place)


def _bare(element: Element) -> Element:
    return element.thread if element.thread is not None else element


def _mating_findings(
    snapshot: Snapshot, external: ThreadProfile, internal: ThreadProfile, families: tuple[str, ...], place: str
) -> list[Finding]:
    def facts(*columns: str) -> tuple[Fact, ...]:
        return external.facts_in(*columns) + internal.facts_in(*columns)

    clearance, formula = thread_mating.pitch_diameter_clearance_mm, f"{_MATING}.pitch_diameter_clearance_mm"
    angle = thread_mating.form_angle_difference_deg(external.form_angle_deg, internal.form_angle_deg)
    pitch = thread_mating.pitch_difference_mm(external.pitch, internal.pitch)
    entry = clearance(internal.pitch_diameter_high, external.pitch_diameter_low)
    tightest = clearance(internal.pitch_diameter_low, external.pitch_diameter_high)
    overlap = thread_mating.crest_overlap_percent(external.major_low, internal.minor_high, external.height)
    pitches, sizes, crests = facts(*_PITCH_COLUMNS), facts(*_PITCH_DIAMETER_COLUMNS), facts(*_CREST_COLUMNS)
    own_pitch = Number("quantity/thread-pitch", external.pitch, "kb.fit.thread_geometry.pitch_mm", pitches)
    basic_sizes = (
        Number("quantity/thread-pitch-diameter-tip", external.pitch_diameter, _PROFILE, sizes),
        Number("quantity/thread-pitch-diameter-mouth", internal.pitch_diameter, _PROFILE, sizes),
    )
    numbers: list[tuple[Number, tuple[Node, ...]]] = [
        (
            Number(
                "quantity/thread-form-angle-difference", angle, _formula("form_angle_difference_deg"), facts(_ANGLE)
            ),
            (),
        ),
        (Number("quantity/thread-pitch-difference", pitch, _formula("pitch_difference_mm"), pitches), (own_pitch,)),
        (Number("quantity/thread-entry-clearance", entry, formula, sizes), basic_sizes),
        (Number("quantity/thread-tightest-clearance", tightest, formula, sizes), ()),
        (
            Number("quantity/thread-crest-overlap", overlap, _formula("crest_overlap_percent"), crests),
            facts("major_mm"),
        ),
    ]
    turns = _turns(external, internal, entry)
    if math.isfinite(turns) and overlap > 0:
        everything = external.facts + internal.facts
        number = Number("quantity/thread-turns-until-binding", turns, _formula("turns_until_binding"), everything)
        numbers.append((number, ()))
    return [judge_number(snapshot, number, families, place, *also) for number, also in numbers]


def _formula(name: str) -> str:
    return f"{_MATING}.{name}"


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


def _bore(snapshot: Snapshot, male: Element, external: ThreadProfile, families: tuple[str, ...], place: str) -> Finding:
    """Judge the wall under the thread if the bore is known; else say which bore the thread allows."""
    minor = external.facts_in("minor_mm") or external.facts
    bore = male.fact("bore_mm") if male.kind is ElementKind.MALE_THREAD else None
    if bore is not None:
        wall = thread_mating.wall_under_thread_mm(external.minor_basic, float(bore.value))
        number = Number("quantity/thread-wall", wall, _formula("wall_under_thread_mm"), (*minor, bore))
        return judge_number(snapshot, number, families, place)
    least = _least_wall(snapshot, families)
    inputs = minor if least is None else (*minor, least)
    largest = thread_mating.largest_bore_mm(external.minor_basic, 0.0 if least is None else float(least.value))
    number = Number("quantity/thread-bore-max", largest, _formula("largest_bore_mm"), inputs)
    return judge_number(snapshot, number, families, place, *_bore_over_name(_bare(male), number))


def _bore_over_name(thread: Element, bore: Number) -> tuple[Number, ...]:
    """Return how the largest bore compares with the size in the thread's name, which no dimension need equal."""
    name = thread.fact("nominal_mm")
    if name is None:
        return ()
    ratio = thread_mating.bore_over_name(bore.value, float(name.value))
    return (Number("quantity/thread-bore-over-name", ratio, _formula("bore_over_name"), (bore, name)),)


def _least_wall(snapshot: Snapshot, families: tuple[str, ...]) -> Fact | None:
    """Return the limit of the wall under a thread as a fact: it also says how large a bore may be."""
    ladder = snapshot.ladder("quantity/thread-wall", families).at_least
    return (
        Fact(ladder[0].id, "value", ladder[0].value, ladder[0].source_id, ladder[0].locator or "") if ladder else None
    )


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
