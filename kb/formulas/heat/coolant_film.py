"""Heat from the coolant to the walls of flat tubes: laminar, transitional and turbulent.

Owns: the Nusselt number in a flat tube and the conductance of all tubes. Does not own: friction in them
(`kb/formulas/flow/tube_friction.py`) or properties (`kb/formulas/coolant/coolant.py`).
"""

from __future__ import annotations

import math
from typing import NamedTuple

from kb.formulas.coolant.coolant import Coolant
from kb.formulas.heat.fin_core import FinCore
from kb.formulas.heat.rectangular_duct import developed_nusselt

LAMINAR_UP_TO = 2300.0
TURBULENT_FROM = 4000.0
ROUND_DEVELOPED_NUSSELT = 3.66
_L_MIN_PER_M3_S = 60_000.0


class CoolantFilm(NamedTuple):
    """What the coolant does inside the tubes of a radiator."""

    reynolds: float
    nusselt: float
    conductance_w_per_k: float
    speed_m_per_s: float


def flat_tube_nusselt(reynolds: float, prandtl: float, aspect: float, length_over_diameter: float) -> float:
    """Return the mean Nusselt number in a flat tube [-], without steps from creeping to turbulent flow.

    Laminar: the developed value of a rectangular passage plus Hausen's term of the thermal entry. Turbulent:
    Gnielinski with a smooth wall. From Re 2300 to 4000 a straight line between both.

    Args:
        reynolds: Re with the hydraulic diameter, 0 or above.
        prandtl: Pr of the coolant.
        aspect: inner height over width, 0 to 1.
        length_over_diameter: L / Dh, above 0.

    Raises:
        ValueError: if the aspect is outside its range.

    Validity: Pr 0.6 to 2000, Re up to 1e6. Hausen's term is that of a round tube, so the laminar value is good to
    about a fifth; the air side is the greater resistance by far.
    Source: ht library 1.2 (Shah and London 1978; Hausen 1943; Gnielinski 1976); line across the transition after
    Gnielinski (2013); smooth friction factor after Petukhov.

    >>> round(flat_tube_nusselt(1000.0, 4.3, 0.08, 90.0), 2)
    9.13
    """
    if reynolds <= LAMINAR_UP_TO:
        return _laminar(reynolds, prandtl, aspect, length_over_diameter)
    if reynolds >= TURBULENT_FROM:
        return _turbulent(reynolds, prandtl)
    share = (reynolds - LAMINAR_UP_TO) / (TURBULENT_FROM - LAMINAR_UP_TO)
    laminar = _laminar(LAMINAR_UP_TO, prandtl, aspect, length_over_diameter)
    return (1 - share) * laminar + share * _turbulent(TURBULENT_FROM, prandtl)


def _laminar(reynolds: float, prandtl: float, aspect: float, length_over_diameter: float) -> float:
    from ht.conv_internal import laminar_entry_thermal_Hausen  # noqa: PLC0415 - 100 ms to import

    entry = laminar_entry_thermal_Hausen(reynolds, prandtl, length_over_diameter, 1.0) - ROUND_DEVELOPED_NUSSELT
    return developed_nusselt(aspect) + float(entry)


def _turbulent(reynolds: float, prandtl: float) -> float:
    from ht.conv_internal import turbulent_Gnielinski  # noqa: PLC0415 - 100 ms to import

    friction = (0.790 * math.log(reynolds) - 1.64) ** -2
    return float(turbulent_Gnielinski(reynolds, prandtl, friction))


def coolant_film(core: FinCore, coolant: Coolant, flow_l_min: float) -> CoolantFilm:
    """Return what the coolant does in the tubes, and its conductance to their walls over the whole core [W/K].

    Args:
        core: the core.
        coolant: at its mean temperature.
        flow_l_min: coolant through the radiator [l/min], 0 or above.

    Validity: as `flat_tube_nusselt`; the coolant is shared evenly by the tubes of a pass; the wall of the tube and
    deposits on it are left out.
    Source: as `flat_tube_nusselt`.
    """
    speed = flow_l_min / _L_MIN_PER_M3_S / (core.parallel_channels * core.channel_m2)
    viscosity = coolant.dynamic_viscosity_mpa_s * 1e-3
    reynolds = coolant.density_kg_per_m3 * speed * core.channel_diameter_m / viscosity
    prandtl = coolant.heat_capacity_j_per_kg_k * viscosity / coolant.thermal_conductivity_w_per_m_k
    length = core.channel_length_m / core.channel_diameter_m
    nusselt = flat_tube_nusselt(reynolds, prandtl, core.channel_aspect, length)
    film = nusselt * coolant.thermal_conductivity_w_per_m_k / core.channel_diameter_m
    return CoolantFilm(reynolds, nusselt, film * core.coolant_m2, speed)
