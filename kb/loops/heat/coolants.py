"""Other coolants for a loop, to compare it with.

Owns: water and mixtures of glycol at a share by volume. Does not own: the coolant that the question names
(`kb/loops/coolant.py`) or properties.
"""

from __future__ import annotations

from kb.formulas.coolant.glycol import share_by_mass_percent
from kb.loops.coolant import PURE_DENSITY, LoopCoolant
from kb.store.snapshot import Snapshot


def glycol_coolant(snapshot: Snapshot, glycol: str, volume_percent: float) -> LoopCoolant:
    """Return a mixture of glycol and water, or water.

    Args:
        snapshot: the knowledge.
        glycol: `propylene-glycol` or `ethylene-glycol`.
        volume_percent: share of glycol by volume [%]; 0 for water.

    Validity: as `kb.formulas.coolant.glycol.share_by_mass_percent`.
    Source: the same; densities of fluid_properties.csv.
    """
    if volume_percent == 0:
        return LoopCoolant("water", None, 0.0, 0.0, ())
    densities = [
        snapshot.usual_fluid(snapshot.families(family))[PURE_DENSITY].value
        for family in (f"family/{glycol}", "family/water")
    ]
    mass = share_by_mass_percent(volume_percent, *densities)
    return LoopCoolant(f"{volume_percent:g} % {glycol.replace('-', ' ')}", glycol, mass, volume_percent, ())
