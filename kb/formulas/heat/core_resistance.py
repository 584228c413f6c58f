"""Pressure that air needs to pass a finned core, and filters and grilles before it.

Owns: pressure drop from friction factor, contraction and widening; obstacles by their open share.
Does not own: the friction factor (`kb/formulas/heat/louver_fin.py`) or fans.
"""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple

from kb.formulas.heat.air_properties import Air
from kb.formulas.heat.fin_core import FinCore
from kb.formulas.heat.louver_fin import LouverFactors

LEAST_SPEED_M_PER_S = 1e-9  # below it the pressure falls with the speed, and 0 / 0 is avoided


class Obstacle(StrEnum):
    """What stands before a radiator."""

    GRILLE = "grille"
    FILTER = "filter"


def passage_speed_m_per_s(core: FinCore, flow: float) -> float:
    """Return the speed of the air in the narrowest section [m/s].

    Args:
        core: the core, or the part of it that one fan serves.
        flow: air [m3/s].

    Source: continuity.
    """
    return flow / core.free_m2


def louver_reynolds(core: FinCore, air: Air, flow: float) -> float:
    """Return the Reynolds number of a flow with the louver pitch [-].

    Args:
        core: the core.
        air: the air.
        flow: air [m3/s].

    Source: definition of Chang and Wang (1997).
    """
    speed = passage_speed_m_per_s(core, flow)
    return air.density_kg_per_m3 * speed * core.fin.louver_pitch * 1e-3 / air.viscosity_pa_s


def end_losses(free_share: float) -> float:
    """Return the loss of narrowing into the core and widening out of it [-]: 0.5 (1 - s) + (1 - s)^2.

    Args:
        free_share: s, passage over face [-], above 0 to 1.

    Validity: refers to the speed in the passage; sharp edges.
    Source: Crane TP-410, sudden contraction and enlargement.

    >>> round(end_losses(0.75), 4)
    0.1875
    """
    return 0.5 * (1 - free_share) + (1 - free_share) ** 2


class CoreDrag(NamedTuple):
    """What a core takes from the air, with everything worked out but the flow, for many questions about one balance.

    The pressure is (friction * f(Re) + ends) * dynamic * flow^2.

    Attributes:
        factors: its friction correlation.
        reynolds_s_per_m3: Reynolds number of a flow of 1 m3/s.
        friction: surface over passage, times the friction scale [-].
        ends: loss of narrowing and widening [-].
        dynamic: dynamic pressure in the passage at 1 m3/s [Pa s2/m6].
        least_m3_per_s: below it the pressure falls with the flow.
    """

    factors: LouverFactors
    reynolds_s_per_m3: float
    friction: float
    ends: float
    dynamic: float
    least_m3_per_s: float

    def pressure_pa(self, flow: float) -> float:
        """Return the static pressure [Pa] that a flow [m3/s] takes, 0 or above; see `core_drop_pa`."""
        least = self.least_m3_per_s
        if flow < least:
            return self.pressure_pa(least) * flow / least
        factor = self.factors.fanning_f(self.reynolds_s_per_m3 * flow)
        return (self.friction * factor + self.ends) * self.dynamic * flow * flow


def core_drag(core: FinCore, factors: LouverFactors, air: Air, friction_scale: float = 1.0) -> CoreDrag:
    """Return what a core takes from the air, for any flow.

    Args, validity and source: as `core_drop_pa`.
    """
    return CoreDrag(
        factors=factors,
        reynolds_s_per_m3=louver_reynolds(core, air, 1.0),
        friction=friction_scale * core.air_m2 / core.free_m2,
        ends=end_losses(core.free_share),
        dynamic=air.density_kg_per_m3 / 2 / core.free_m2**2,
        least_m3_per_s=LEAST_SPEED_M_PER_S * core.free_m2,
    )


def core_drop_pa(core: FinCore, factors: LouverFactors, air: Air, flow: float, friction_scale: float = 1.0) -> float:
    """Return the static pressure a core takes [Pa]: (f A / Ac + K) rho v^2 / 2.

    Args:
        core: its areas.
        factors: its friction correlation.
        air: the air.
        flow: air [m3/s], 0 or above.
        friction_scale: by how much f is taken larger or smaller than the correlation [-].

    Validity: as `kb.formulas.heat.louver_fin.fanning_f`; density taken as constant through the core (within two
    percent).
    Source: Kays and London's core pressure drop without the term of acceleration.
    """
    return core_drag(core, factors, air, friction_scale).pressure_pa(flow)


def obstacle_loss(kind: Obstacle, open_share: float, wire_reynolds: float = 400.0) -> float:
    """Return the loss of a grille or filter [-], referred to the speed before it.

    Args:
        kind: sharp-edged grille or plate, or a filter of round threads.
        open_share: open area over whole area [-], above 0 and below 1.
        wire_reynolds: Reynolds number in the mesh of a filter; the table holds 20 to 400.

    Raises:
        ValueError: if the share is not above 0 and below 1.

    Validity: clean; dust closes a filter.
    Source: fluids library 1.3, square_edge_screen and round_edge_screen, after Blevins (1984).

    >>> round(obstacle_loss(Obstacle.GRILLE, 0.5), 2)
    3.8
    """
    from fluids.filters import round_edge_screen, square_edge_screen  # noqa: PLC0415 - 70 ms to import

    if not 0 < open_share < 1:
        raise ValueError("the open share must be above 0 and below 1")
    if kind is Obstacle.GRILLE:
        return float(square_edge_screen(open_share))
    return float(round_edge_screen(open_share, wire_reynolds))


def obstacle_drop_pa(loss: float, face_m2: float, air: Air, flow: float) -> float:
    """Return the pressure an obstacle takes [Pa]: K rho v^2 / 2.

    Args:
        loss: K, referred to the speed before the obstacle [-].
        face_m2: area of the obstacle [m2].
        air: the air.
        flow: air [m3/s].

    Source: definition of the loss coefficient.
    """
    return loss * air.density_kg_per_m3 * (flow / face_m2) ** 2 / 2
