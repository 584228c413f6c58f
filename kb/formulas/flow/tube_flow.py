"""Coolant moving in a round bore: velocity, Reynolds number, dynamic pressure, contents, height.

Owns: what follows from flow, bore and coolant alone. Does not own: friction (`kb/formulas/flow/tube_friction.py`) or
limits.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from kb.formulas.coolant.coolant import Coolant

STANDARD_GRAVITY_M_PER_S2 = 9.80665
KPA_PER_BAR = 100.0
_M3_PER_S_IN_L_PER_MIN = 60_000.0


def velocity_m_per_s(flow_l_min: float, bore_mm: float) -> float:
    """Return the mean velocity [m/s] in a round bore: Q / (pi d^2 / 4); negative for flow backwards.

    Args:
        flow_l_min: Q [l/min].
        bore_mm: d [mm], above 0.

    Raises:
        ZeroDivisionError: if d is 0.

    Source: continuity.

    >>> round(velocity_m_per_s(4.0, 10.0), 3)
    0.849
    """
    area_m2 = math.pi * (bore_mm * 1e-3) ** 2 / 4
    return flow_l_min / _M3_PER_S_IN_L_PER_MIN / area_m2


def flow_l_per_min(velocity: float, bore_mm: float) -> float:
    """Return the flow [l/min] at which a round bore has a mean velocity: the inverse of `velocity_m_per_s`.

    Args:
        velocity: w [m/s].
        bore_mm: d [mm].

    Source: continuity.

    >>> round(flow_l_per_min(1.5, 10.0), 2)
    7.07
    """
    return velocity * math.pi * (bore_mm * 1e-3) ** 2 / 4 * _M3_PER_S_IN_L_PER_MIN


def reynolds_number(flow_l_min: float, bore_mm: float, coolant: Coolant) -> float:
    """Return the Reynolds number: rho |w| d / mu. Below about 2000 laminar, above about 4000 turbulent.

    Args:
        flow_l_min: flow [l/min].
        bore_mm: d [mm], above 0.
        coolant: rho and mu.

    Raises:
        ZeroDivisionError: if d is 0.

    Source: definition.

    >>> from kb.formulas.coolant.coolant import water_at
    >>> round(reynolds_number(4.0, 10.0, water_at(25.0)))
    9509
    """
    speed = abs(velocity_m_per_s(flow_l_min, bore_mm))
    return coolant.density_kg_per_m3 * speed * bore_mm / coolant.dynamic_viscosity_mpa_s


def dynamic_pressure_kpa(flow_l_min: float, bore_mm: float, coolant: Coolant) -> float:
    """Return the dynamic pressure [kPa] in a bore: rho w^2 / 2.

    Args:
        flow_l_min: flow [l/min].
        bore_mm: bore [mm], above 0.
        coolant: rho.

    Raises:
        ZeroDivisionError: if the bore is 0.

    Source: Bernoulli.

    >>> from kb.formulas.coolant.coolant import water_at
    >>> round(dynamic_pressure_kpa(4.0, 10.0, water_at(25.0)), 3)
    0.359
    """
    return coolant.density_kg_per_m3 * velocity_m_per_s(flow_l_min, bore_mm) ** 2 / 2 / 1e3


def contents_ml(bore_mm: float, length_mm: float) -> float:
    """Return the contents of a tube [ml]: pi d^2 / 4 * L.

    Args:
        bore_mm: d [mm].
        length_mm: L [mm].

    Source: plane geometry.

    >>> round(contents_ml(10.0, 1000.0), 1)
    78.5
    """
    return math.pi * bore_mm**2 / 4 * length_mm / 1e3


def loop_contents_ml(contents: Iterable[float]) -> float:
    """Return the contents of a loop [ml]: sum(V_i).

    Args:
        contents: V_i, contents of every part, run and fitting [ml].

    Source: arithmetic.

    >>> loop_contents_ml([250.0, 120.0, 78.5])
    448.5
    """
    return math.fsum(contents)


def coolant_pressure_bar(pumped_kpa: float, column_kpa: float) -> float:
    """Return the pressure in the coolant over that of the air [bar]: (p_n + p_h) / 100.

    Args:
        pumped_kpa: p_n, pressure over the reservoir that flow and pumps make [kPa].
        column_kpa: p_h, of the column up to the surface in the reservoir, see `column_pressure_kpa` [kPa].

    Validity: reservoir open to the air; growth of shut-in coolant comes on top.
    Source: Bernoulli, without the dynamic pressure.

    >>> round(coolant_pressure_bar(12.0, 3.0), 2)
    0.15
    """
    return pumped_kpa / KPA_PER_BAR + column_kpa / KPA_PER_BAR


def column_pressure_kpa(height_mm: float, coolant: Coolant) -> float:
    """Return the pressure of a standing column [kPa]: rho g h. It cancels around a closed loop, not at one place of it.

    Args:
        height_mm: h, how far the place lies below the surface in the reservoir [mm]; negative above it.
        coolant: rho.

    Source: hydrostatics, standard gravity.

    >>> from kb.formulas.coolant.coolant import water_at
    >>> round(column_pressure_kpa(500.0, water_at(25.0)), 2)
    4.89
    """
    return coolant.density_kg_per_m3 * STANDARD_GRAVITY_M_PER_S2 * height_mm * 1e-6
