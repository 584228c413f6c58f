"""Friction of coolant in a straight round tube.

Owns: the friction factor and the pressure drop of a length of tube.
Does not own: bends, fittings and changes of bore (`kb/formulas/flow/minor_losses.py`) or roughness (assumptions.csv).
"""

from __future__ import annotations

from typing import NamedTuple

from kb.formulas.coolant.coolant import Coolant
from kb.formulas.flow.tube_flow import velocity_m_per_s

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


class TubeFriction(NamedTuple):
    """A straight tube with the coolant that flows, with everything worked out but the flow.

    Attributes:
        reynolds_min_per_l: Reynolds number of 1 l/min [min/l].
        relative_roughness: e/d [-].
        pressure_kpa: L/d times the dynamic pressure of 1 l/min [kPa min2/l2].
    """

    reynolds_min_per_l: float
    relative_roughness: float
    pressure_kpa: float

    def drop_kpa(self, flow_l_min: float) -> float:
        """Return the pressure drop [kPa] at a flow [l/min], with its sign; see `tube_drop_kpa`."""
        reynolds = self.reynolds_min_per_l * abs(flow_l_min)
        if reynolds < 1e-9:  # noqa: PLR2004 - nothing moves
            return 0.0
        factor = darcy_friction_factor(reynolds, self.relative_roughness, 1.0)
        return factor * self.pressure_kpa * flow_l_min * abs(flow_l_min)


def tube_friction(bore_mm: float, length_mm: float, roughness_mm: float, coolant: Coolant) -> TubeFriction:
    """Return a straight tube for any flow.

    Args, errors, validity and source: as `tube_drop_kpa`.
    """
    speed = velocity_m_per_s(1.0, bore_mm)
    return TubeFriction(
        reynolds_min_per_l=coolant.density_kg_per_m3 * speed * bore_mm / coolant.dynamic_viscosity_mpa_s,
        relative_roughness=roughness_mm / bore_mm,
        pressure_kpa=length_mm / bore_mm * coolant.density_kg_per_m3 * speed * speed / 2 / 1e3,
    )


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

    >>> from kb.formulas.coolant.coolant import water_at
    >>> round(tube_drop_kpa(4.0, 10.0, 2000.0, 0.0, water_at(25.0)), 2)
    2.26
    """
    return tube_friction(bore_mm, length_mm, roughness_mm, coolant).drop_kpa(flow_l_min)
