"""What flows: density, viscosity, heat capacity and conductivity of water or of glycol and water at a temperature.

Owns: asking for the properties once for each coolant and temperature. Does not own: the library for glycols
(`kb/formulas/coolant/glycol.py`) or shares. Water is not asked of that library: before it answers for any pure fluid it
reads all of them, two seconds with every thread held.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from kb.formulas.coolant.glycol import mixture_properties

WATER_LIBRARY = "chemicals"
_PRESSURE_PA = 101_325.0
_ZERO_C_IN_K = 273.15
_COLDEST_WATER_C = 0.01  # just above freezing at normal pressure
_DENSITY, _HEAT_CAPACITY = 0, 5  # places in what the library returns
_LEAST_MIXED_PERCENT = 1.0
_CACHED = 4096  # a solved loop asks for some dozens of temperatures


class CoolantError(ValueError):
    """A coolant whose properties the library does not give.

    Attributes:
        coolant: `water` or the glycol.
        mass_percent: share of glycol by mass [%].
        temperature_c: temperature asked for [degC].
        fix: what to ask instead.
    """

    def __init__(self, coolant: str, mass_percent: float, temperature_c: float) -> None:
        super().__init__(f"no properties of {coolant} {mass_percent:g} % at {temperature_c:g} degC")
        self.coolant = coolant
        self.mass_percent = mass_percent
        self.temperature_c = temperature_c
        self.fix = "ask above the freezing point and up to 100 degC, with at most 60 % of glycol by mass"


class Coolant(NamedTuple):
    """A liquid at one temperature."""

    temperature_c: float
    density_kg_per_m3: float
    dynamic_viscosity_mpa_s: float
    heat_capacity_j_per_kg_k: float
    thermal_conductivity_w_per_m_k: float


@lru_cache(maxsize=_CACHED)
def water_at(temperature_c: float) -> Coolant:
    """Return water at a temperature and normal pressure.

    Args:
        temperature_c: temperature [degC], from 0.01 and below 100.

    Raises:
        CoolantError: outside that range.

    Validity: 0 to 100 degC; pressure in a loop changes the values by less than 0.01 %.
    Source: IAPWS-95 and the IAPWS releases on viscosity (R12-08) and conductivity (R15-11), by the package chemicals.

    >>> round(water_at(25.0).dynamic_viscosity_mpa_s, 4)
    0.89
    """
    if not _COLDEST_WATER_C <= temperature_c < 100:  # noqa: PLR2004 - liquid water
        raise CoolantError("water", 0.0, temperature_c)
    from chemicals.iapws import iapws95_properties  # noqa: PLC0415 - loops without flow need no water
    from chemicals.thermal_conductivity import k_IAPWS  # noqa: PLC0415
    from chemicals.viscosity import mu_IAPWS  # noqa: PLC0415

    kelvin = temperature_c + _ZERO_C_IN_K
    found = iapws95_properties(kelvin, _PRESSURE_PA)
    density, capacity = found[_DENSITY], found[_HEAT_CAPACITY]
    viscosity, conductivity = mu_IAPWS(kelvin, density), k_IAPWS(kelvin, density)
    return Coolant(temperature_c, density, viscosity * 1e3, capacity, conductivity)


@lru_cache(maxsize=_CACHED)
def glycol_at(glycol: str, mass_percent: float, temperature_c: float) -> Coolant:
    """Return glycol and water at a temperature.

    Args:
        glycol: `propylene-glycol` or `ethylene-glycol`.
        mass_percent: share of glycol by mass [%], 0 to 60; 0 is water.
        temperature_c: temperature [degC], above the freezing point.

    Raises:
        CoolantError: where the library gives no value.
        KeyError: if the glycol is another one.

    Validity and source: as `kb.formulas.coolant.glycol.mixture_properties`; water as `water_at`. Below 1 % on a
    straight line between the two, which differ by a fraction of a percent where they meet: less glycol would else seem
    thicker.

    >>> round(glycol_at("propylene-glycol", 30.0, 30.0).dynamic_viscosity_mpa_s, 2)
    2.1
    """
    if mass_percent == 0:
        return water_at(temperature_c)
    if mass_percent < _LEAST_MIXED_PERCENT:
        water, mixed = water_at(temperature_c), glycol_at(glycol, _LEAST_MIXED_PERCENT, temperature_c)
        share = mass_percent / _LEAST_MIXED_PERCENT
        return Coolant(*(one + (other - one) * share for one, other in zip(water, mixed, strict=True)))
    found = mixture_properties(glycol, mass_percent, temperature_c)
    density, viscosity = found.density_kg_per_m3, found.dynamic_viscosity_mpa_s
    capacity, conductivity = found.heat_capacity_j_per_kg_k, found.thermal_conductivity_w_per_m_k
    if density is None or viscosity is None or capacity is None or conductivity is None:
        raise CoolantError(glycol, mass_percent, temperature_c)
    return Coolant(temperature_c, density, viscosity, capacity, conductivity)
