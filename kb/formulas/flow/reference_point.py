"""Resistance of a part known by one measured point: so much pressure at so much flow of water.

Owns: from the point to other flows and to other coolants. Does not own: the points (blocks.csv, resistances.csv).
"""

from __future__ import annotations

from kb.formulas.coolant.coolant import Coolant


def reference_drop_kpa(flow_l_min: float, reference_flow_l_min: float, drop_kpa: float, exponent: float) -> float:
    """Return the drop [kPa] at another flow: dp0 (|Q| / Q0)^n, with the sign of the flow.

    Args:
        flow_l_min: Q [l/min]; negative backwards.
        reference_flow_l_min: Q0 [l/min], above 0.
        drop_kpa: dp0 at Q0 [kPa].
        exponent: n, 1 (laminar) to 2 (turbulent, sharp edges); 1.75 for smooth turbulent channels.

    Raises:
        ZeroDivisionError: if Q0 is 0.

    Validity: about a third to three times the reference flow.
    Source: power law through one point; n between Hagen-Poiseuille (1), Blasius (1.75) and local losses (2).

    >>> reference_drop_kpa(2.0, 4.0, 8.0, 2.0)
    2.0
    """
    drop = drop_kpa * float((abs(flow_l_min) / reference_flow_l_min) ** exponent)
    return drop if flow_l_min >= 0 else -drop


def coolant_factor(exponent: float, reference: Coolant, coolant: Coolant) -> float:
    """Return the drop of a coolant over that of the reference coolant [-]: (r2/r1)^(n-1) (m2/m1)^(2-n).

    Args:
        exponent: n of the power law in the flow [-].
        reference: density r1 [kg/m3] and viscosity m1 [mPa s] the point was measured with.
        coolant: density r2 [kg/m3] and viscosity m2 [mPa s] that flows.

    Validity: as long as one power law holds for both, that is the same regime of flow.
    Source: dimensional analysis: if dp ~ Q^n, then dp ~ rho^(n-1) mu^(2-n) Q^n. n = 1 leaves viscosity alone, n = 2
    density alone, 1.75 gives the fourth root of viscosity known from Blasius.

    >>> from kb.formulas.coolant.coolant import glycol_at, water_at
    >>> round(coolant_factor(1.75, water_at(25.0), glycol_at("propylene-glycol", 30.0, 30.0)), 2)
    1.26
    """
    density = coolant.density_kg_per_m3 / reference.density_kg_per_m3
    viscosity = coolant.dynamic_viscosity_mpa_s / reference.dynamic_viscosity_mpa_s
    return float(density ** (exponent - 1) * viscosity ** (2 - exponent))
