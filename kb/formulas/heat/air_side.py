"""Heat from fins to air: film coefficient, fin efficiency, conductance.

Owns: the air side of a core. Does not own: the coolant side (`kb/formulas/heat/coolant_film.py`) or how both are
combined (`kb/formulas/heat/effectiveness.py`).
"""

from __future__ import annotations

import math

from kb.formulas.heat.air_properties import Air
from kb.formulas.heat.core_resistance import louver_reynolds, passage_speed_m_per_s
from kb.formulas.heat.fin_core import FinCore
from kb.formulas.heat.louver_fin import LouverFactors
from kb.formulas.heat.rectangular_duct import developed_nusselt

_MM = 1e-3


def louvered_film(core: FinCore, factors: LouverFactors, air: Air, flow: float) -> float:
    """Return the film coefficient after the louver correlation [W/(m2 K)]: j rho v cp Pr^(-2/3).

    Args:
        core: the core.
        factors: its heat transfer correlation.
        air: the air.
        flow: air [m3/s], above 0.

    Validity and source: as `kb.formulas.heat.louver_fin.colburn_j`.
    """
    mass_flux = air.density_kg_per_m3 * passage_speed_m_per_s(core, flow)
    factor = factors.colburn_j(louver_reynolds(core, air, flow))
    return float(factor * mass_flux * air.heat_capacity_j_per_kg_k * air.prandtl ** (-2 / 3))


def duct_film(core: FinCore, air: Air) -> float:
    """Return the film coefficient if the louvers did nothing [W/(m2 K)]: Nu k / Dh of the passage between two fins.

    It does not depend on the flow, and it is what real louvered fins come down to when air creeps through them.

    Args:
        core: the core.
        air: the air.

    Validity: laminar, developed; entry into the fins left out, so a lower bound.
    Source: Shah and London (1978), rectangular duct; that slow air follows the fins: Achaichia and Cowell (1988),
    abstract.
    """
    gap = core.fin.fin_pitch - core.fin.fin_thickness
    nusselt = developed_nusselt(min(gap, core.fin.fin_height) / max(gap, core.fin.fin_height))
    return nusselt * air.conductivity_w_per_m_k / core.hydraulic_diameter_m


def fin_efficiency(film: float, conductivity: float, thickness_mm: float, height_mm: float) -> float:
    """Return the efficiency of a fin between two tubes [-]: tanh(m L) / (m L), m = sqrt(2 h / (k d)), L = half height.

    Args:
        film: h [W/(m2 K)], 0 or above.
        conductivity: k of the fin [W/(m K)], above 0.
        thickness_mm: d [mm], above 0.
        height_mm: fin height between the tubes [mm]; heat comes from both ends.

    Raises:
        ZeroDivisionError: if conductivity or thickness is 0.

    Validity: thin straight fin, even film; louver slits narrow the way of the heat a little.
    Source: textbook straight fin with an insulated tip at mid height.

    >>> round(fin_efficiency(60.0, 380.0, 0.06, 8.0), 3)
    0.973
    """
    reach = math.sqrt(2 * film / (conductivity * thickness_mm * _MM)) * height_mm * _MM / 2
    return math.tanh(reach) / reach if reach > 0 else 1.0


def air_conductance(core: FinCore, film: float, conductivity: float) -> float:
    """Return the conductance from tubes and fins to the air [W/K]: h (A_tube + efficiency A_fin).

    Args:
        core: the core.
        film: h [W/(m2 K)].
        conductivity: of the fin [W/(m K)].

    Validity: fins joined to the tubes without a gap (solder or braze).
    Source: overall surface efficiency of textbooks.
    """
    efficiency = fin_efficiency(film, conductivity, core.fin.fin_thickness, core.fin.fin_height)
    return film * (core.tube_m2 + efficiency * core.fin_m2)
