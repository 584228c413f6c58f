"""One thread as it meets another: pitch, form, taper and the extremes of its diameters.

Owns: thread row + tolerance row -> numbers for mating. Does not own: the formulas
(`kb/formulas/fit/thread_geometry.py`).
"""

from __future__ import annotations

from typing import NamedTuple

from kb.evidence.tree import Fact, Missing
from kb.formulas.fit import thread_geometry as geometry
from kb.parts.part import Element
from kb.store.snapshot import Snapshot
from schemas.tables.column_words import column_words
from schemas.tables.thread_tolerances import ThreadSide, ThreadTolerance
from schemas.tables.threads import Thread

SIXTY_DEGREES = 60.0  # ISO 68-1, ASME B1.1, ASME B1.20.1
PRINTED_MM = 0.0005  # standards print thousandths: half of one


class ProfileFacts(NamedTuple):
    """The cells a profile cites, grouped by what they serve.

    Attributes:
        everything: all of them.
        angle: the form angle.
        pitch: pitch or threads per inch.
        pitch_diameter: what the pitch diameter at tip or mouth comes from.
        crests: what the overlap of the crests comes from.
        major: the major diameter.
        root: what the minor diameter comes from.
    """

    everything: tuple[Fact, ...]
    angle: tuple[Fact, ...]
    pitch: tuple[Fact, ...]
    pitch_diameter: tuple[Fact, ...]
    crests: tuple[Fact, ...]
    major: tuple[Fact, ...]
    root: tuple[Fact, ...]


class ThreadProfile(NamedTuple):
    """What mating needs of a thread on one side, sizes at the tip (external) or mouth (internal) [mm].

    Attributes:
        form_angle_deg: included flank angle [deg].
        pitch: pitch [mm].
        taper_on_diameter: growth of diameter per length [-].
        height: thread height [mm].
        pitch_diameter: basic pitch diameter.
        pitch_diameter_low: least pitch diameter.
        pitch_diameter_high: largest pitch diameter.
        major_low: least major diameter, for the external side.
        minor_basic: basic minor diameter.
        minor_high: largest minor diameter, for the internal side.
        facts: cells the profile cites, by what they serve.
        has_tolerance: whether deviations are known.
    """

    form_angle_deg: float
    pitch: float
    taper_on_diameter: float
    height: float
    pitch_diameter: float
    pitch_diameter_low: float
    pitch_diameter_high: float
    major_low: float
    minor_basic: float
    minor_high: float
    facts: ProfileFacts
    has_tolerance: bool


def thread_profile(snapshot: Snapshot, thread: Element, side: ThreadSide) -> ThreadProfile | Missing:
    """Return the profile of a thread on one side, or the dimension that is missing.

    Args:
        snapshot: the knowledge.
        thread: an element whose row is a thread.
        side: external or internal.
    """
    if thread.given:
        return _profile(snapshot, thread, side)
    key = ("thread-profile", thread.row.id, side.value)
    return snapshot.derive(key, lambda: _profile(snapshot, thread, side))


def _profile(snapshot: Snapshot, thread: Element, side: ThreadSide) -> ThreadProfile | Missing:
    row = thread.row
    assert isinstance(row, Thread)
    for column in ("form_angle_deg", "major_mm"):
        if getattr(row, column) is None:
            return Missing(thread.label, column_words(column)[0], column)
    pitch = _pitch_of(row)
    if pitch is None:
        return Missing(thread.label, "pitch or threads per inch", "pitch_mm")
    row = _as_standard(snapshot, row, pitch)
    pitch = _pitch_of(row) or pitch
    if row.taper_on_diameter and row.gauge_length_mm is None:
        return Missing(thread.label, "gauge length", "gauge_length_mm")
    height = _height(row, pitch)
    if height is None:
        return Missing(thread.label, "thread form (known for 55 and 60 degrees)", "form_angle_deg")
    return _assembled(snapshot, thread, row, side, (pitch, height))


def _assembled(
    snapshot: Snapshot, thread: Element, row: Thread, side: ThreadSide, sizes: tuple[float, float]
) -> ThreadProfile:
    pitch, height = sizes
    tolerance = snapshot.thread_tolerance(row.id, side)
    at_plane = _pitch_diameter(row, pitch)
    pitch_diameter = at_plane
    if row.taper_on_diameter and side is ThreadSide.EXTERNAL:
        back_to_tip = -(row.gauge_length_mm or 0.0)
        pitch_diameter = geometry.diameter_along_taper_mm(at_plane, back_to_tip, row.taper_on_diameter)
    major, minor = pitch_diameter + height, pitch_diameter - height
    if not row.taper_on_diameter:
        assert row.major_mm is not None
        major, minor = row.major_mm, _minor(row, pitch, at_plane, height)
    deviations = tolerance or _NO_DEVIATIONS
    return ThreadProfile(
        form_angle_deg=row.form_angle_deg,
        pitch=pitch,
        taper_on_diameter=row.taper_on_diameter,
        height=height,
        pitch_diameter=pitch_diameter,
        pitch_diameter_low=pitch_diameter + (deviations.pitch_diameter_lower_mm or 0.0),
        pitch_diameter_high=pitch_diameter + (deviations.pitch_diameter_upper_mm or 0.0),
        major_low=major + (deviations.major_lower_mm or 0.0),
        minor_basic=minor,
        minor_high=minor + (deviations.minor_upper_mm or 0.0),
        facts=_facts(thread, tolerance),
        has_tolerance=tolerance is not None,
    )


def _as_standard(snapshot: Snapshot, row: Thread, pitch: float) -> Thread:
    """Return a typed thread as the standard thread whose printed size it has, so that no rounding decides."""
    alike = [] if snapshot.row(row.id) is not None else _of_this_size(snapshot, row, pitch)
    return next((one for one in alike if _has_tolerances(snapshot, one)), row)


def _of_this_size(snapshot: Snapshot, row: Thread, pitch: float) -> list[Thread]:
    """Return the standard threads of a typed thread's form, pitch, diameter and taper, those that seal alike first."""
    alike = [
        one
        for one in snapshot.active(Thread)
        if one.form_angle_deg == row.form_angle_deg
        and one.taper_on_diameter == row.taper_on_diameter
        and _is_near(one.major_mm, row.major_mm)
        and (not row.taper_on_diameter or _is_near(one.gauge_length_mm, row.gauge_length_mm))
        and (row.pitch_diameter_mm is None or _is_near(one.pitch_diameter_mm, row.pitch_diameter_mm))
        and (row.minor_mm is None or _is_near(one.minor_mm, row.minor_mm))
        and _is_near(_pitch_of(one), pitch)
    ]
    return sorted(alike, key=lambda one: (one.seals_on is not row.seals_on, one.gender is not row.gender, one.id))


def _has_tolerances(snapshot: Snapshot, row: Thread) -> bool:
    return any(snapshot.thread_tolerance(row.id, side) is not None for side in ThreadSide)


def _pitch_of(row: Thread) -> float | None:
    return geometry.pitch_mm(row.threads_per_inch) if row.threads_per_inch else row.pitch_mm


def _is_near(one: float | None, other: float | None) -> bool:
    return one is not None and other is not None and abs(one - other) <= PRINTED_MM


class _NoDeviations(NamedTuple):
    pitch_diameter_lower_mm: float | None = None
    pitch_diameter_upper_mm: float | None = None
    major_lower_mm: float | None = None
    minor_upper_mm: float | None = None


_NO_DEVIATIONS = _NoDeviations()


def _height(row: Thread, pitch: float) -> float | None:
    if row.form_angle_deg == geometry.WHITWORTH_ANGLE_DEG:
        return geometry.whitworth_height_mm(pitch)
    if row.form_angle_deg != SIXTY_DEGREES:
        return None
    if row.taper_on_diameter:
        return geometry.npt_height_mm(pitch)
    assert row.major_mm is not None
    return (row.major_mm - geometry.metric_minor_mm(row.major_mm, pitch)) / 2


def _pitch_diameter(row: Thread, pitch: float) -> float:
    """Return the pitch diameter [mm] of a parallel thread, or of a taper thread at its gauge plane."""
    assert row.major_mm is not None
    if row.pitch_diameter_mm is not None:
        return row.pitch_diameter_mm
    taper, gauge_length = row.taper_on_diameter, row.gauge_length_mm or 0.0
    return geometry.basic_pitch_diameter_mm(row.major_mm, pitch, row.form_angle_deg, taper, gauge_length)


def _minor(row: Thread, pitch: float, pitch_diameter: float, height: float) -> float:
    if row.minor_mm is not None:
        return row.minor_mm
    assert row.major_mm is not None
    if row.form_angle_deg == geometry.WHITWORTH_ANGLE_DEG:
        return pitch_diameter - height
    return geometry.metric_minor_mm(row.major_mm, pitch)


_THREAD_COLUMNS = (
    "form_angle_deg",
    "threads_per_inch",
    "pitch_mm",
    "major_mm",
    "pitch_diameter_mm",
    "minor_mm",
    "taper_on_diameter",
    "gauge_length_mm",
)
_TOLERANCE_COLUMNS = ("pitch_diameter_lower_mm", "pitch_diameter_upper_mm", "major_lower_mm", "minor_upper_mm")


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


def _facts(thread: Element, tolerance: ThreadTolerance | None) -> ProfileFacts:
    everything = _all_facts(thread, tolerance)

    def only(*columns: str) -> tuple[Fact, ...]:
        return tuple(fact for fact in everything if fact.column in columns)

    return ProfileFacts(
        everything=everything,
        angle=only("form_angle_deg"),
        pitch=only(*_PITCH_COLUMNS),
        pitch_diameter=only(*_PITCH_DIAMETER_COLUMNS),
        crests=only(*_CREST_COLUMNS),
        major=only("major_mm"),
        root=only("minor_mm") or everything,
    )


def _all_facts(thread: Element, tolerance: ThreadTolerance | None) -> tuple[Fact, ...]:
    own = tuple(fact for column in _THREAD_COLUMNS if (fact := thread.fact(column)) is not None)
    if tolerance is None:
        return own
    locator = tolerance.locator or ""
    return own + tuple(
        Fact(tolerance.id, column, getattr(tolerance, column), tolerance.source_id, locator)
        for column in _TOLERANCE_COLUMNS
        if getattr(tolerance, column) is not None
    )
