"""Coolant that warms up: how much it expands, and what shut-in air does when it has to give way.

Owns: expansion and the pressure of shut-in air. Does not own: densities (`kb/formulas/coolant/coolant.py`) or the what
there is.
"""

from __future__ import annotations

ATMOSPHERE_BAR = 1.01325
_ZERO_C_IN_K = 273.15


def expansion_ml(contents_ml: float, filled_density: float, hot_density: float) -> float:
    """Return how much coolant expands [ml]: V (r1 / r2 - 1); below zero if it shrinks.

    Args:
        contents_ml: V, contents when filled [ml].
        filled_density: r1, density when filled [kg/m3].
        hot_density: r2, density when hot [kg/m3], above 0.

    Raises:
        ZeroDivisionError: if r2 is 0.

    Validity: the parts are taken as stiff and of constant size. From 20 to 40 degC metal grows by a sixth of what water
    does and plastic by about as much, so the room that is really needed is smaller: the safe side.
    Source: conservation of mass.

    >>> round(expansion_ml(1000.0, 998.207, 992.216), 2)  # water from 20 to 40 degC
    6.04
    """
    return contents_ml * (filled_density / hot_density - 1)


def expansion_room_ml(air_ml: float, expansion: float) -> float:
    """Return the room that is left when the coolant is hot [ml]: A - g; below zero it runs out or presses.

    Args:
        air_ml: A, air above the mark in all reservoirs [ml].
        expansion: g, how much the coolant expands [ml].

    Validity: as `expansion_ml`.
    Source: conservation of mass.

    >>> expansion_room_ml(80.0, 6.0)
    74.0
    """
    return air_ml - expansion


def shut_in_pressure_bar(air_ml: float, expansion: float, filled_c: float, hot_c: float) -> float | None:
    """Return the pressure over the surroundings [bar] of air shut in above coolant that expands; none if no air is
    left.

    pa (V / (V - g)) (T2 / T1) - pa

    Args:
        air_ml: V, air when filled [ml].
        expansion: g, how much the coolant expands [ml].
        filled_c: T1, temperature when the loop was closed [degC].
        hot_c: T2, temperature when hot [degC].

    Validity: ideal gas, stiff walls, air as warm as the coolant, vapour left out (some 0.05 bar more at 40 than at
    20 degC). Soft tube and a floating lid give way and lower it.
    Source: ideal gas law.

    >>> round(shut_in_pressure_bar(20.0, 6.0, 20.0, 40.0), 2)
    0.53
    """
    if expansion >= air_ml:
        return None
    ratio = (hot_c + _ZERO_C_IN_K) / (filled_c + _ZERO_C_IN_K)
    return ATMOSPHERE_BAR * (air_ml / (air_ml - expansion) * ratio - 1)
