"""Diameters and heights of screw threads from pitch, form angle and taper.

Owns: the geometry of one thread. Does not own: how two threads meet (`kb/formulas/fit/thread_mating.py`).
"""

from __future__ import annotations

import math

MM_PER_INCH = 25.4
WHITWORTH_ANGLE_DEG = 55.0  # ISO 228-1, ISO 7-1
WHITWORTH_HEIGHT_OF_TRIANGLE = 2 / 3  # ISO 228-1 / ISO 7-1: a sixth of the triangle is cut off at crest and root
METRIC_PITCH_LINE_OF_TRIANGLE = 3 / 8  # ISO 68-1: the pitch line lies 3/8 H below the major diameter
METRIC_MINOR_OF_TRIANGLE = 5 / 8  # ISO 68-1: the internal crest lies 5/8 H below the major diameter
NPT_HEIGHT_OF_PITCH = 0.8  # ASME B1.20.1: largest thread height in pitches


def pitch_mm(threads_per_inch: float) -> float:
    """Return the pitch [mm] of an inch thread: P = 25.4 / n.

    Args:
        threads_per_inch: n [1/in], above 0.

    Raises:
        ZeroDivisionError: if n is 0.

    Source: definition; ISO 228-1 Table 1 prints the result to three decimals.

    >>> round(pitch_mm(19), 3)
    1.337
    """
    return MM_PER_INCH / threads_per_inch


def triangle_height_mm(pitch: float, form_angle_deg: float) -> float:
    """Return the height H [mm] of the sharp triangle of a thread: H = P / (2 tan(alpha / 2)).

    Args:
        pitch: P [mm].
        form_angle_deg: included angle alpha between the flanks [deg], 0 < alpha < 180.

    Source: plane geometry; ISO 228-1 and ISO 7-1 print H = 0.960491 P for 55 degrees.

    >>> round(triangle_height_mm(1.0, 55), 6)
    0.960491
    """
    return pitch / (2 * math.tan(math.radians(form_angle_deg / 2)))


def whitworth_height_mm(pitch: float) -> float:
    """Return the thread height h [mm] of the 55 degree pipe thread form: h = 2/3 H = 0.640327 P.

    Args:
        pitch: P [mm].

    Source: ISO 228-1, ISO 7-1 (thread form).

    >>> round(whitworth_height_mm(1.337), 3)
    0.856
    """
    return WHITWORTH_HEIGHT_OF_TRIANGLE * triangle_height_mm(pitch, WHITWORTH_ANGLE_DEG)


def metric_pitch_diameter_mm(major: float, pitch: float) -> float:
    """Return the basic pitch diameter d2 [mm] of a 60 degree thread: d2 = d - 3/4 H = d - 0.649519 P.

    Args:
        major: basic major diameter d [mm].
        pitch: P [mm].

    Validity: ISO metric and unified inch threads.
    Source: ISO 724 (profile of ISO 68-1); ASME B1.1 for unified threads.

    >>> round(metric_pitch_diameter_mm(10, 1), 3)
    9.35
    """
    return major - 2 * METRIC_PITCH_LINE_OF_TRIANGLE * triangle_height_mm(pitch, 60)


def metric_minor_mm(major: float, pitch: float) -> float:
    """Return the basic internal minor diameter D1 [mm] of a 60 degree thread: D1 = D - 5/4 H = D - 1.082532 P.

    Args:
        major: basic major diameter D [mm].
        pitch: P [mm].

    Validity: ISO metric and unified inch threads.
    Source: ISO 724 (profile of ISO 68-1); ASME B1.1 for unified threads.

    >>> round(metric_minor_mm(10, 1), 3)
    8.917
    """
    return major - 2 * METRIC_MINOR_OF_TRIANGLE * triangle_height_mm(pitch, 60)


def npt_small_end_pitch_diameter_mm(pipe_od: float, threads_per_inch: float) -> float:
    """Return E0 [mm], the pitch diameter at the small end of an external NPT thread: E0 = D - (0.05 D + 1.1) / n.

    Args:
        pipe_od: D, outside diameter of the pipe [mm].
        threads_per_inch: n [1/in].

    Validity: NPT 1/16 to 24.
    Source: ASME B1.20.1, formula of the basic dimensions; printed for inches.

    >>> round(npt_small_end_pitch_diameter_mm(0.540 * 25.4, 18) / 25.4, 5)
    0.47739
    """
    od_in = pipe_od / MM_PER_INCH
    return (od_in - (0.05 * od_in + 1.1) / threads_per_inch) * MM_PER_INCH


def basic_pitch_diameter_mm(
    major: float, pitch: float, form_angle_deg: float, taper_on_diameter: float = 0.0, gauge_length: float = 0.0
) -> float:
    """Return the basic pitch diameter [mm] of a parallel thread, or of a taper thread at its gauge plane.

    55 degrees: d - h with h = 2/3 H. 60 degrees, parallel: d - 3/4 H. 60 degrees, taper: E0 + T L1.

    Args:
        major: d, basic major diameter; of a 60 degree taper thread the outside diameter of the pipe [mm].
        pitch: P [mm].
        form_angle_deg: 55, or else 60 [deg].
        taper_on_diameter: T, growth of diameter per length [-]; 0 for a parallel thread.
        gauge_length: L1, from the tip to the gauge plane [mm].

    Validity: pipe threads of 55 degrees, ISO metric and unified inch threads, NPT.
    Source: ISO 228-1, ISO 7-1, ISO 724, ASME B1.1, ASME B1.20.1.

    >>> round(basic_pitch_diameter_mm(13.157, 25.4 / 19, 55.0), 3)  # G 1/4
    12.301
    >>> round(basic_pitch_diameter_mm(0.540 * 25.4, 25.4 / 18, 60.0, 1 / 16, 0.2278 * 25.4) / 25.4, 5)  # NPT 1/4
    0.49163
    """
    if form_angle_deg == WHITWORTH_ANGLE_DEG:
        return major - whitworth_height_mm(pitch)
    if taper_on_diameter:
        small_end = npt_small_end_pitch_diameter_mm(major, MM_PER_INCH / pitch)
        return diameter_along_taper_mm(small_end, gauge_length, taper_on_diameter)
    return metric_pitch_diameter_mm(major, pitch)


def npt_height_mm(pitch: float) -> float:
    """Return the largest thread height h [mm] of an NPT thread: h = 0.8 P.

    Args:
        pitch: P [mm].

    Source: ASME B1.20.1, clause 2.4 as quoted by a public page.

    >>> round(npt_height_mm(pitch_mm(18)) / 25.4, 5)
    0.04444
    """
    return NPT_HEIGHT_OF_PITCH * pitch


def diameter_along_taper_mm(diameter: float, distance: float, taper_on_diameter: float) -> float:
    """Return the diameter [mm] of a taper thread at a distance from where it is known: D + T * x.

    Args:
        diameter: D at the start [mm].
        distance: x towards the large end [mm]; negative towards the small end.
        taper_on_diameter: T, growth of diameter per length [-]; 0.0625 for 1:16.

    Source: plane geometry; the taper 1:16 is that of ISO 7-1 and ASME B1.20.1.

    >>> round(diameter_along_taper_mm(0.47739, 0.2278, 1 / 16), 5)  # NPT 1/4: E0 and L1 give E1 [in]
    0.49163
    """
    return diameter + taper_on_diameter * distance
