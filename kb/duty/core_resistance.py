"""Pressure that air needs to pass a finned core, and filters and grilles before it.

Owns: pressure drop from friction factor, contraction and widening; obstacles by their open share.
Does not own: the friction factor (`kb/duty/louver_fin.py`) or fans.
"""

from __future__ import annotations

from enum import StrEnum

from kb.duty.air_properties import Air
from kb.duty.fin_core import FinCore
from kb.duty.louver_fin import LouverFactors

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


def core_drop_pa(core: FinCore, factors: LouverFactors, air: Air, flow: float, friction_scale: float = 1.0) -> float:
    """Return the static pressure a core takes [Pa]: (f A / Ac + K) rho v^2 / 2.

    Args:
        core: its areas.
        factors: its friction correlation.
        air: the air.
        flow: air [m3/s], 0 or above.
        friction_scale: by how much f is taken larger or smaller than the correlation [-].

    Validity: as `kb.duty.louver_fin.fanning_f`; density taken as constant through the core (within two percent).
    Source: Kays and London's core pressure drop without the term of acceleration.
    """
    least = LEAST_SPEED_M_PER_S * core.free_m2
    moving = max(flow, least)
    speed = passage_speed_m_per_s(core, moving)
    friction = friction_scale * factors.fanning_f(louver_reynolds(core, air, moving))
    loss = friction * core.air_m2 / core.free_m2 + end_losses(core.free_share)
    return loss * air.density_kg_per_m3 * speed**2 / 2 * min(1.0, flow / least)


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
