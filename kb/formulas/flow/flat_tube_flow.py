"""What the flat tubes of a radiator take from the flow.

Owns: friction in flat tubes and the pressure of all passes. Does not own: the areas (`kb/formulas/heat/fin_core.py`),
tanks and ports (resistances.csv) or heat (`kb/formulas/heat/coolant_film.py`).
"""

from __future__ import annotations

from typing import NamedTuple

from kb.formulas.coolant.coolant import Coolant
from kb.formulas.flow.tube_friction import darcy_friction_factor
from kb.formulas.heat.coolant_film import LAMINAR_UP_TO, TURBULENT_FROM
from kb.formulas.heat.fin_core import FinCore
from kb.formulas.heat.rectangular_duct import laminar_friction_constant

_L_MIN_PER_M3_S = 60_000.0


class FlatTubes(NamedTuple):
    """The path of the coolant through a core.

    Attributes:
        section_m2: section of all tubes that share one pass.
        diameter_m: hydraulic diameter of a tube.
        aspect: shorter over longer inner side of a tube.
        length_m: length of the tubes of all passes, one behind the other.
    """

    section_m2: float
    diameter_m: float
    aspect: float
    length_m: float


def flat_tubes(core: FinCore) -> FlatTubes:
    """Return the path of the coolant through a core.

    Args:
        core: the core.

    Source: plane geometry.
    """
    section = core.parallel_channels * core.channel_m2
    return FlatTubes(section, core.channel_diameter_m, core.channel_aspect, core.passes * core.channel_length_m)


def flat_tube_friction(reynolds: float, aspect: float) -> float:
    """Return Darcy's friction factor in a flat tube [-], without steps from creeping to turbulent flow.

    Laminar: C / Re with C of a rectangular passage. Turbulent: Churchill with a smooth wall and the hydraulic diameter.
    From Re 2300 to 4000 a straight line between both, as for heat.

    Args:
        reynolds: Re with the hydraulic diameter, above 0.
        aspect: shorter over longer inner side, 0 to 1.

    Raises:
        ValueError: if the aspect is outside its range.
        ZeroDivisionError: if Re is 0.

    Validity: developed flow; the hydraulic diameter alone is good to some 15 % in turbulent flow through flat ducts.
    Source: Shah and London (1978); Churchill (1977), as implemented in package fluids.

    >>> round(flat_tube_friction(960.0, 0.0), 3)
    0.1
    """
    constant = laminar_friction_constant(aspect)
    if reynolds <= LAMINAR_UP_TO:
        return constant / reynolds
    if reynolds >= TURBULENT_FROM:
        return darcy_friction_factor(reynolds, 0.0, 1.0)
    share = (reynolds - LAMINAR_UP_TO) / (TURBULENT_FROM - LAMINAR_UP_TO)
    return (1 - share) * constant / LAMINAR_UP_TO + share * darcy_friction_factor(TURBULENT_FROM, 0.0, 1.0)


def flat_tube_drop_kpa(flow_l_min: float, tubes: FlatTubes, coolant: Coolant) -> float:
    """Return the friction of all passes [kPa]: f L/Dh rho w^2/2, with the sign of the flow.

    Args:
        flow_l_min: flow through the radiator [l/min]; negative backwards.
        tubes: the path of the coolant.
        coolant: rho and mu.

    Validity: as `flat_tube_friction`; the tubes of a pass share the flow evenly.
    Source: Darcy-Weisbach with `flat_tube_friction`.

    >>> from kb.formulas.coolant.coolant import water_at
    >>> round(flat_tube_drop_kpa(4.0, FlatTubes(1.9e-4, 3.0e-3, 0.08, 0.48), water_at(30.0)), 3)
    0.647
    """
    speed = abs(flow_l_min) / _L_MIN_PER_M3_S / tubes.section_m2
    reynolds = coolant.density_kg_per_m3 * speed * tubes.diameter_m / (coolant.dynamic_viscosity_mpa_s * 1e-3)
    if reynolds < 1e-9:  # noqa: PLR2004 - nothing moves
        return 0.0
    friction = flat_tube_friction(reynolds, tubes.aspect)
    drop = friction * tubes.length_m / tubes.diameter_m * coolant.density_kg_per_m3 * speed**2 / 2 / 1e3
    return drop if flow_l_min > 0 else -drop
