"""Friction of coolant in a straight round tube.

Owns: the friction factor and the pressure drop of a length of tube.
Does not own: bends, fittings and changes of bore (`kb/duty/minor_losses.py`) or roughness (assumptions.csv).
"""

from __future__ import annotations

from kb.duty.coolant import Coolant
from kb.duty.tube_flow import dynamic_pressure_kpa, reynolds_number

LIBRARY = "fluids"
CREEPING_BELOW = 1.0  # there the formula is 64 / Re to the last digit, but its powers outgrow floating numbers


def darcy_friction_factor(reynolds: float, roughness_mm: float, bore_mm: float) -> float:
    """Return the Darcy friction factor for laminar, transitional and turbulent flow alike.

    f = 8 [(8/Re)^12 + (A + B)^-1.5]^(1/12), A = [2.457 ln(1 / ((7/Re)^0.9 + 0.27 e/d))]^16, B = (37530/Re)^16.

    Args:
        reynolds: Re, above 0.
        roughness_mm: e [mm], 0 for a smooth wall.
        bore_mm: d [mm], above 0.

    Raises:
        ZeroDivisionError: if Re or d is 0.

    Validity: all regimes; within 2 % of Colebrook when turbulent. From about Re 2000 to 4000 flow is unsteady and
    every formula is a guess. Darcy's factor is four times Fanning's.
    Source: Churchill (1977), as implemented in package fluids.

    >>> round(darcy_friction_factor(1000.0, 0.0, 10.0), 4)
    0.064
    >>> round(darcy_friction_factor(10000.0, 0.01, 10.0), 5)
    0.03269
    """
    from fluids.friction import Churchill_1977  # noqa: PLC0415 - a tenth of a second to import

    if reynolds < CREEPING_BELOW:
        return 64 / reynolds
    return float(Churchill_1977(reynolds, roughness_mm / bore_mm))


def tube_drop_kpa(flow_l_min: float, bore_mm: float, length_mm: float, roughness_mm: float, coolant: Coolant) -> float:
    """Return the pressure drop of a straight tube [kPa]: f L/d rho w^2/2, with the sign of the flow.

    Args:
        flow_l_min: flow [l/min]; negative backwards.
        bore_mm: d [mm], above 0.
        length_mm: L [mm].
        roughness_mm: e [mm].
        coolant: rho and mu.

    Raises:
        ZeroDivisionError: if the bore is 0.

    Validity: developed flow in a full tube; entrance lengths and coiling are left out.
    Source: Darcy-Weisbach with `darcy_friction_factor`.

    >>> from kb.duty.coolant import water_at
    >>> round(tube_drop_kpa(4.0, 10.0, 2000.0, 0.0, water_at(25.0)), 2)
    2.26
    """
    reynolds = reynolds_number(flow_l_min, bore_mm, coolant)
    if reynolds < 1e-9:  # noqa: PLR2004 - nothing moves
        return 0.0
    factor = darcy_friction_factor(reynolds, roughness_mm, bore_mm)
    drop = factor * length_mm / bore_mm * dynamic_pressure_kpa(flow_l_min, bore_mm, coolant)
    return drop if flow_l_min > 0 else -drop
