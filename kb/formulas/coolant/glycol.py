"""Glycol and water: shares by volume and by mass, and the properties of the mixture from a reference library.

Owns: arithmetic of shares and asking the library. Does not own: what a share means for inhibitor and growth (limits).
Volume and mass shares are kept apart: 50 % ethylene glycol by volume is about 53 % by mass. The contraction of volume
on mixing is neglected in the arithmetic of shares (below 1 %); the library's densities contain it.
"""

from __future__ import annotations

import math
import sys
from functools import cache
from importlib import import_module
from importlib.util import find_spec, module_from_spec
from typing import Any, NamedTuple

LIBRARY = "CoolProp"
_MASS_FLUIDS = {"propylene-glycol": "MPG", "ethylene-glycol": "MEG"}
_PRESSURE_PA = 101_325.0
_ZERO_C_IN_K = 273.15


class Mixture(NamedTuple):
    """Properties of a mixture; `None` where the library's range ends."""

    freezing_point_c: float | None
    density_kg_per_m3: float | None
    dynamic_viscosity_mpa_s: float | None
    heat_capacity_j_per_kg_k: float | None
    thermal_conductivity_w_per_m_k: float | None


def share_by_volume_percent(concentrate_parts: float, water_parts: float, glycol_percent: float) -> float:
    """Return the share of glycol in a mixture by volume [%]: g * c / (c + w).

    Args:
        concentrate_parts: c, parts of concentrate by volume.
        water_parts: w, parts of water by volume.
        glycol_percent: g, glycol in the concentrate by volume [%].

    Raises:
        ZeroDivisionError: if there is nothing to mix.

    Validity: contraction on mixing neglected (below 1 % of volume).
    Source: arithmetic.

    >>> share_by_volume_percent(1, 3, 100)
    25.0
    """
    return glycol_percent * (concentrate_parts / (concentrate_parts + water_parts))  # never above g by rounding


def share_by_mass_percent(volume_percent: float, glycol_density: float, water_density: float) -> float:
    """Return the share by mass [%] of a share by volume: v rg / (v rg + (100 - v) rw) * 100.

    Args:
        volume_percent: v, share of glycol by volume [%].
        glycol_density: rg, density of pure glycol [kg/m3].
        water_density: rw, density of water [kg/m3].

    Validity: contraction on mixing neglected.
    Source: arithmetic.

    >>> round(share_by_mass_percent(50, 1113.0, 998.2), 1)  # ethylene glycol at 20 degC
    52.7
    """
    glycol, water = volume_percent * glycol_density, (100 - volume_percent) * water_density
    return glycol / (glycol + water) * 100


def mixture_properties(glycol: str, mass_percent: float, temperature_c: float) -> Mixture:
    """Return the properties of a glycol and water mixture.

    Args:
        glycol: `propylene-glycol` or `ethylene-glycol`.
        mass_percent: share by mass [%]; the library holds 0 to 60.
        temperature_c: temperature [degC], above the freezing point.

    Returns:
        Freezing point [degC], density, viscosity, heat capacity and conductivity; `None` outside the library's range.

    Validity: pure glycol and water; inhibitors shift the values by about a percent.
    Source: CoolProp incompressible fluids MPG and MEG, after Melinder (2010).

    >>> round(mixture_properties("ethylene-glycol", 30.0, 20.0).density_kg_per_m3)
    1038
    """
    fluid = f"INCOMP::{_MASS_FLUIDS[glycol]}-{mass_percent:.6f}%"
    kelvin = temperature_c + _ZERO_C_IN_K
    freezing = _property("T_freeze", fluid, kelvin)
    viscosity = _property("V", fluid, kelvin)
    return Mixture(
        freezing_point_c=None if freezing is None else freezing - _ZERO_C_IN_K,
        density_kg_per_m3=_property("D", fluid, kelvin),
        dynamic_viscosity_mpa_s=None if viscosity is None else viscosity * 1e3,
        heat_capacity_j_per_kg_k=_property("C", fluid, kelvin),
        thermal_conductivity_w_per_m_k=_property("L", fluid, kelvin),
    )


def _property(name: str, fluid: str, kelvin: float) -> float | None:
    try:
        value = float(library_core().PropsSI(name, "T", kelvin, "P", _PRESSURE_PA, fluid))
    except ValueError:
        return None
    return value if math.isfinite(value) else None


@cache
def library_core() -> Any:
    """Return the library's core alone: its package first reads every pure fluid, two seconds with all threads held."""
    spec = find_spec(LIBRARY)
    if spec is None:
        raise ModuleNotFoundError(LIBRARY)
    unread = module_from_spec(spec)
    stands_in = sys.modules.setdefault(LIBRARY, unread) is unread
    core = import_module(f"{LIBRARY}.{LIBRARY}")
    if stands_in:
        del sys.modules[LIBRARY]  # whoever imports the package itself gets all of it
    return core
