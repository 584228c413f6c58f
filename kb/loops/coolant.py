"""What flows in a loop: which liquid, how much glycol, and its properties at any temperature.

Owns: choosing the liquid from what the question says, and quick properties between the points of a grid. Does not own:
the properties (`kb/formulas/coolant/coolant.py`) or shares (`kb/formulas/coolant/glycol.py`).
"""

from __future__ import annotations

import math
from types import MappingProxyType
from typing import NamedTuple

from kb.evidence.tree import Fact, Finding, Missing
from kb.formulas.coolant.coolant import WATER_LIBRARY, Coolant, CoolantError, glycol_at
from kb.formulas.coolant.glycol import LIBRARY, share_by_mass_percent
from kb.loops.loop import ResolvedLoop
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.messages import Gap
from schemas.tables.fluids import Fluid, FluidBase, ShareBasis

PROPERTIES_MISSING = Gap.COOLANT_PROPERTIES_MISSING.value
GLYCOL_SHARE = "quantity/glycol-share"
PURE_DENSITY = "quantity/pure-density"
_GRID_K = 0.5
_TRIED_C = 40.0
_GLYCOLS = MappingProxyType(
    {FluidBase.PROPYLENE_GLYCOL: "propylene-glycol", FluidBase.ETHYLENE_GLYCOL: "ethylene-glycol"}
)


class LoopCoolant(NamedTuple):
    """The liquid of a loop.

    Attributes:
        title: what people call it.
        glycol: `propylene-glycol` or `ethylene-glycol`; `None` for water.
        mass_percent: share of glycol by mass [%].
        volume_percent: share of glycol by volume [%]; `None` if it is only known by mass.
        facts: what says so.
    """

    title: str
    glycol: str | None
    mass_percent: float
    volume_percent: float | None
    facts: tuple[Fact, ...]

    @property
    def library(self) -> str:
        """Where the properties come from."""
        return LIBRARY if self.mass_percent > 0 else WATER_LIBRARY

    def at(self, temperature_c: float) -> Coolant:
        """Return the liquid at a temperature, on a straight line between points half a kelvin apart.

        Args:
            temperature_c: temperature [degC].

        Raises:
            CoolantError: below its freezing point, or at 100 degC and above.

        Validity: the line differs from the library by less than 0.01 % above 5 degC.
        """
        below = math.floor(temperature_c / _GRID_K) * _GRID_K
        share = (temperature_c - below) / _GRID_K
        try:
            first, second = self._at_point(below), self._at_point(below + _GRID_K)
        except CoolantError:
            return self._at_point(temperature_c)
        return Coolant(*(one + share * (other - one) for one, other in zip(first, second, strict=True)))

    def _at_point(self, temperature_c: float) -> Coolant:
        return glycol_at(self.glycol or "", self.mass_percent, temperature_c)


def loop_coolant(snapshot: Snapshot, loop: ResolvedLoop) -> LoopCoolant | Finding:
    """Return what flows in a loop, or the finding that nothing is known of it.

    What the question states of its share of glycol speaks first, then the row of the fluid, then what is usual.

    Args:
        snapshot: the knowledge.
        loop: the loop.
    """
    place = loop.question.name
    if loop.fluid is None:
        return _missing(place, "fluid", "fluid")
    row = loop.fluid.elements[0].row
    assert isinstance(row, Fluid)
    glycol = _GLYCOLS.get(row.base) if row.base is not None else None
    share = _share(loop, row)
    if glycol is None and row.base is FluidBase.WATER and (share is None or share.value == 0):
        return LoopCoolant(row.title, None, 0.0, 0.0, _base_fact(row))
    if glycol is None or share is None:
        return _missing(row.title, "glycol share" if glycol else "liquid", "fluid")
    found = _mixed(snapshot, row, glycol, share)
    try:
        found.at(_TRIED_C)
    except CoolantError:
        return _missing(row.title, "property at this share of glycol", "fluid")
    return found


def _missing(subject: str, what: str, column: str) -> Finding:
    return Finding(PROPERTIES_MISSING, Judgement.GAP, subject, (Missing(subject, what, column),))


def _base_fact(row: Fluid) -> tuple[Fact, ...]:
    assert row.base is not None
    return (Fact(row.id, "base", row.base.value, row.source_id, row.locator or ""),)


def _share(loop: ResolvedLoop, row: Fluid) -> Fact | None:
    """Return the share of glycol [%] as the nearest to the question says it."""
    assert loop.fluid is not None
    element = loop.fluid.elements[0]
    for said, place in ((loop.conditions, "conditions"), (element.stated, element.label)):
        if GLYCOL_SHARE in said:
            return Fact(place, "glycol_share_percent", said[GLYCOL_SHARE], "", "")
    if row.glycol_share_percent is not None:
        return Fact(row.id, "glycol_share_percent", row.glycol_share_percent, row.source_id, row.locator or "")
    usual = element.usual.get(GLYCOL_SHARE)
    return Fact(usual.id, "value", usual.value, usual.source_id, usual.locator or "") if usual is not None else None


def _mixed(snapshot: Snapshot, row: Fluid, glycol: str, share: Fact) -> LoopCoolant:
    """Return glycol and water; a share counts by volume unless its own row says by mass."""
    percent, facts = float(share.value), (*_base_fact(row), share)
    if share.row_id == row.id and row.share_basis is ShareBasis.MASS:
        return LoopCoolant(row.title, glycol, percent, None, facts)
    densities = [
        snapshot.usual_fluid(snapshot.families(family))[PURE_DENSITY] for family in (f"family/{glycol}", "family/water")
    ]
    facts += tuple(Fact(one.id, "value", one.value, one.source_id, one.locator or "") for one in densities)
    mass = share_by_mass_percent(percent, densities[0].value, densities[1].value)
    return LoopCoolant(row.title, glycol, mass, percent, facts)
