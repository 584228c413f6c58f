"""Fan laws: what follows when a fan turns at another speed, and how sounds add.

Owns: laws for one fan in one kind of air. Does not own: curves (`kb/formulas/heat/fan_curve.py`).
Sound levels are relative: they say how much louder or quieter, not what an ear meets in a room.
"""

from __future__ import annotations

import math
from collections.abc import Iterable


def flow_at_speed(flow: float, speed_ratio: float) -> float:
    """Return the flow at another speed: Q * n, in the unit of the flow.

    Args:
        flow: Q at the old speed.
        speed_ratio: n, new over old speed [-].

    Validity: same fan, same air, same point of its curve.
    Source: fan laws, any handbook of fans (AMCA, ASHRAE).

    >>> flow_at_speed(100.0, 1.25)
    125.0
    """
    return flow * speed_ratio


def speed_share_percent(speed_rpm: float, reference_rpm: float) -> float:
    """Return a speed over another one [%]: n / n_0 * 100.

    Args:
        speed_rpm: n [rpm].
        reference_rpm: n_0, such as the greatest or least speed of the fan, above 0 [rpm].

    Raises:
        ZeroDivisionError: if n_0 is 0.

    Source: definition.

    >>> speed_share_percent(900.0, 1200.0)
    75.0
    """
    return 100 * speed_rpm / reference_rpm


def pressure_at_speed(pressure: float, speed_ratio: float) -> float:
    """Return the pressure at another speed: p * n^2, in the unit of the pressure.

    Args:
        pressure: p at the old speed.
        speed_ratio: n, new over old speed [-].

    Validity and source: as `flow_at_speed`.

    >>> pressure_at_speed(16.0, 1.25)
    25.0
    """
    return pressure * speed_ratio**2


def power_at_speed(power: float, speed_ratio: float) -> float:
    """Return the power at another speed: P * n^3, in the unit of the power.

    Args:
        power: P at the old speed.
        speed_ratio: n, new over old speed [-].

    Validity and source: as `flow_at_speed`.

    >>> power_at_speed(1.0, 2.0)
    8.0
    """
    return power * speed_ratio**3


def sound_at_speed(sound_level: float, speed_ratio: float) -> float:
    """Return the sound level at another speed [dB]: L + 50 log10 n.

    Args:
        sound_level: L at the old speed [dB].
        speed_ratio: n, new over old speed [-], above 0.

    Raises:
        ValueError: if n is not above 0.

    Validity: broadband noise of the blades; bearings and motor do not follow it and set a floor.
    Source: fan laws as printed on public pages of fan makers and engineers (ten percent more speed, two decibels).

    >>> round(sound_at_speed(24.0, 0.5), 1)
    8.9
    """
    return sound_level + 50 * math.log10(speed_ratio)


def sounds_together(sound_levels: Iterable[float]) -> float:
    """Return the level of several sources together [dB]: 10 log10 of the sum of 10^(L/10).

    Args:
        sound_levels: level of each source [dB], at least one.

    Raises:
        ValueError: if there is none.

    Validity: sources that do not beat with each other, at the same distance.
    Source: addition of sound powers.

    >>> round(sounds_together([20.0, 20.0]), 2)
    23.01
    """
    return 10 * math.log10(sum(10 ** (level / 10) for level in sound_levels))
