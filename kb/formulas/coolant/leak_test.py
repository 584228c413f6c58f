"""A pressure test with air under pressure: how much the needle moves without any leak.

Owns: air in a closed loop. Does not own: what the parts bear (limits) or the steps of the test (procedures).
"""

from __future__ import annotations

from kb.formulas.coolant.expansion import ATMOSPHERE_BAR

_ZERO_C_IN_K = 273.15


def pressure_per_kelvin_bar(pressure_bar: float, temperature_c: float) -> float:
    """Return how much the pressure in a closed loop moves for each kelvin [bar/K]: (p + pa) / T.

    Args:
        pressure_bar: p, over the surroundings [bar].
        temperature_c: T, of the air in the loop [degC].

    Validity: ideal gas, stiff walls; soft tube gives way and lowers it.
    Source: ideal gas law.

    >>> round(pressure_per_kelvin_bar(0.5, 25.0) * 1000, 2)
    5.08
    """
    return (pressure_bar + ATMOSPHERE_BAR) / (temperature_c + _ZERO_C_IN_K)


def pressure_test_bar(lowest_rating_bar: float, share_percent: float) -> float:
    """Return the pressure of a pressure test with air [bar]: a share of what the weakest part bears.

    Args:
        lowest_rating_bar: least pressure that any part bears [bar].
        share_percent: share of it [%].

    Source: habit of staying below the lowest rating; test codes for pipes go above, and are made for steel.

    >>> pressure_test_bar(0.5, 80.0)
    0.4
    """
    return lowest_rating_bar * share_percent / 100
