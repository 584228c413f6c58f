"""Dry air at the pressures and temperatures of a room.

Owns: density, viscosity, conductivity and heat capacity of air. Does not own: humidity (moist air of a room is lighter
by less than one percent). The formulas are short so that a question needs no property library, which takes two seconds
to import; the tests hold them against two libraries.
"""

from __future__ import annotations

from typing import NamedTuple

STANDARD_PRESSURE_PA = 101_325.0
ZERO_C_IN_K = 273.15
GAS_CONSTANT_J_PER_KG_K = 287.05
HEAT_CAPACITY_J_PER_KG_K = 1006.3  # at 25 degC; within 0.1 % from 0 to 50 degC


class Air(NamedTuple):
    """Air at one temperature and pressure."""

    density_kg_per_m3: float
    viscosity_pa_s: float
    conductivity_w_per_m_k: float
    heat_capacity_j_per_kg_k: float

    @property
    def prandtl(self) -> float:
        """Prandtl number [-]."""
        return self.heat_capacity_j_per_kg_k * self.viscosity_pa_s / self.conductivity_w_per_m_k


def air_at(temperature_c: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> Air:
    """Return the properties of dry air.

    Args:
        temperature_c: t [degC].
        pressure_pa: p [Pa].

    Validity: 0 to 60 degC, near atmospheric pressure; there density and viscosity lie within 0.5 %, conductivity within
    1 % of reference libraries.
    Source: ideal gas law; Sutherland formulas of the US Standard Atmosphere 1976 for viscosity and conductivity.

    >>> air = air_at(25.0)
    >>> round(air.density_kg_per_m3, 3), round(air.viscosity_pa_s * 1e6, 2), round(air.prandtl, 2)
    (1.184, 18.37, 0.71)
    """
    kelvin = temperature_c + ZERO_C_IN_K
    viscosity = 1.458e-6 * kelvin**1.5 / (kelvin + 110.4)
    conductivity = 2.64638e-3 * kelvin**1.5 / (kelvin + 245.4 * 10 ** (-12 / kelvin))
    return Air(pressure_pa / (GAS_CONSTANT_J_PER_KG_K * kelvin), viscosity, conductivity, HEAT_CAPACITY_J_PER_KG_K)
