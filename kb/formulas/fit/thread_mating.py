"""How an external and an internal thread meet: clearance, overlap, binding, passage.

Owns: quantities of a pair of threads. Does not own: one thread's geometry (`kb/formulas/fit/thread_geometry.py`) or
verdicts. Diametral clearance counts positive when there is play.
"""

from __future__ import annotations

import math


def form_angle_difference_deg(first: float, second: float) -> float:
    """Return the difference of two included flank angles [deg].

    Args:
        first: one angle [deg].
        second: the other angle [deg].

    Source: definition; 55 degrees in ISO 228-1 and ISO 7-1, 60 in ASME B1.20.1, ISO 68-1 and ASME B1.1.

    >>> form_angle_difference_deg(55, 60)
    5
    """
    return abs(first - second)


def pitch_difference_mm(first: float, second: float) -> float:
    """Return the difference of two pitches [mm].

    Args:
        first: one pitch [mm].
        second: the other pitch [mm].

    Source: definition.

    >>> round(pitch_difference_mm(25.4 / 19, 25.4 / 18), 4)  # G 1/4 and NPT 1/4
    0.0743
    """
    return abs(first - second)


def pitch_diameter_clearance_mm(internal: float, external: float) -> float:
    """Return the play in pitch diameter [mm]: D2 - d2; negative where the external thread is the larger.

    Args:
        internal: D2, pitch diameter of the internal thread [mm].
        external: d2, pitch diameter of the external thread [mm].

    Source: definition.

    >>> round(pitch_diameter_clearance_mm(19.772, 19.793), 3)  # NPT 1/2 at the mouth, G 1/2
    -0.021
    """
    return internal - external


def pitch_error_on_diameter(pitch_difference: float, form_angle_deg: float) -> float:
    """Return how much pitch diameter [mm] one turn's pitch error takes up: |dP| cot(alpha / 2).

    Args:
        pitch_difference: dP, difference of the pitches [mm].
        form_angle_deg: included flank angle alpha [deg].

    Source: plane geometry of a flank; screw gauge practice gives the factors 1.921 (55 degrees) and 1.732 (60 degrees).

    >>> round(pitch_error_on_diameter(1.0, 60), 3), round(pitch_error_on_diameter(1.0, 55), 3)
    (1.732, 1.921)
    """
    return abs(pitch_difference) / math.tan(math.radians(form_angle_deg / 2))


def turns_until_binding(
    entry_clearance: float, pitch: float, steeper_taper: float, pitch_error_per_turn: float
) -> float:
    """Return the turns after which two threads bind: c / (T P + e), never below 0.

    The play in pitch diameter at the mouth, c, is taken up by the steeper taper (T on the diameter, per length) and by
    the pitch error, which adds e of diameter with every turn.

    Args:
        entry_clearance: c, internal pitch diameter at the mouth less external pitch diameter at the tip [mm].
        pitch: P of the entering thread [mm].
        steeper_taper: T, the larger of both tapers on the diameter [-].
        pitch_error_per_turn: e, see `pitch_error_on_diameter` [mm].

    Returns:
        Turns [-]; infinity if nothing takes up the play, however little of it there is.

    Validity: play small against the thread height; flanks of one angle (else the threads bind no later).
    Source: plane geometry; for NPT in NPT it gives L1 / P, the hand-tight turns of ASME B1.20.1 Table 2.

    >>> round(turns_until_binding((0.49163 - 0.47739) * 25.4, 25.4 / 18, 1 / 16, 0.0), 1)  # NPT 1/4: L1 = 4.1 turns
    4.1
    >>> turns_until_binding(0.0, 25.4 / 19, 0.0, 0.0)  # two parallel threads of one pitch, without any play
    inf
    """
    taken_up_per_turn = steeper_taper * pitch + pitch_error_per_turn
    return max(entry_clearance, 0.0) / taken_up_per_turn if taken_up_per_turn > 0 else math.inf


def crest_overlap_percent(external_major: float, internal_minor: float, height: float) -> float:
    """Return how much of the thread height the crests overlap [%]: (d - D1) / (2 h) * 100.

    Args:
        external_major: d, major diameter of the external thread [mm].
        internal_minor: D1, minor diameter of the internal thread [mm].
        height: h, height of the entering thread [mm].

    Returns:
        100 for basic Whitworth form, 0 where the male thread slides through, negative beyond.

    Source: plane geometry.

    >>> round(crest_overlap_percent(13.157, 11.445, 0.856))  # G 1/4 in G 1/4
    100
    >>> round(crest_overlap_percent(13.157, 14.950, 0.856))  # G 1/4 in G 3/8
    -105
    """
    return (external_major - internal_minor) / (2 * height) * 100


def largest_bore_mm(external_minor: float, least_wall: float) -> float:
    """Return the largest hole [mm] that leaves a wall inside a male thread: d1 - 2 t.

    Args:
        external_minor: d1, minor diameter of the external thread [mm].
        least_wall: t, wall to be left under the thread [mm].

    Source: plane geometry.

    >>> round(largest_bore_mm(11.445, 1.0), 3)
    9.445
    """
    return external_minor - 2 * least_wall


def wall_under_thread_mm(external_minor: float, bore: float) -> float:
    """Return the wall [mm] between the root of a male thread and its bore: (d1 - b) / 2.

    Args:
        external_minor: d1 [mm].
        bore: b [mm].

    Source: plane geometry.

    >>> round(wall_under_thread_mm(11.445, 9.0), 4)
    1.2225
    """
    return (external_minor - bore) / 2


def bore_over_name(bore: float, nominal: float) -> float:
    """Return how many times the size in a thread's name its bore is: b / n.

    Args:
        bore: b, hole through the thread [mm].
        nominal: n, size in the name [mm], above 0.

    Raises:
        ZeroDivisionError: if n is 0.

    Source: definition; pipe threads are named after the bore of historic pipe, not after any of their dimensions.

    >>> round(bore_over_name(9.445, 6.35), 2)  # G 1/4
    1.49
    """
    return bore / nominal
