"""What is poured into a loop: ready to use, or concentrate and water.

Owns: choosing between both, and the amounts for the contents of a loop. Does not own: the liquid's properties
(`kb/loops/coolant.py`) or arithmetic (`kb/formulas/coolant/mixing_amounts.py`).
A fluid whose share of glycol lies above the largest usual one (a row of limits.csv) is a concentrate.
"""

from __future__ import annotations

import dataclasses
from types import MappingProxyType
from typing import NamedTuple

from kb.evidence.tree import Finding
from kb.formulas.coolant.freezing import freezing_point_c
from kb.formulas.coolant.mixing_amounts import Amounts, dose_mg, mix_amounts
from kb.loops.assumptions import Given, given_or_assumed
from kb.loops.coolant import GLYCOL_SHARE, LoopCoolant, loop_coolant
from kb.loops.loop import ResolvedLoop
from kb.store.snapshot import Snapshot
from schemas.tables.additives import Additive
from schemas.tables.fluids import Fluid, FluidBase


class Mix(NamedTuple):
    """What is poured in.

    Attributes:
        fluid: the fluid as bought.
        amounts: concentrate and water [ml]; `None` if the fluid is ready to use.
        coolant: the liquid in the loop; a finding if nothing is known of it.
        freezing_c: where it freezes [degC]; `None` if unknown.
        share: share of glycol the concentrate is diluted to; `None` if the question states it or none is needed.
    """

    fluid: Fluid
    amounts: Amounts | None
    coolant: LoopCoolant | Finding
    freezing_c: float | None
    share: Given | None


class Dose(NamedTuple):
    """An additive and how much of it this loop takes [mg]; `None` where no dose is known."""

    additive: Additive
    low_mg: float | None
    high_mg: float | None


def mix_for(snapshot: Snapshot, loop: ResolvedLoop, contents_ml: float) -> Mix | None:
    """Return what is poured into a loop; `None` if the question names no fluid.

    Args:
        snapshot: the knowledge.
        loop: the loop.
        contents_ml: what it holds [ml].
    """
    if loop.fluid is None:
        return None
    row = loop.fluid.elements[0].row
    assert isinstance(row, Fluid)
    strength = _concentrate_percent(snapshot, loop, row)
    if strength is None:
        coolant = loop_coolant(snapshot, loop)
        return Mix(row, None, coolant, _freezing(coolant), None)
    share = _target_share(snapshot, loop, strength)
    conditions = MappingProxyType({**loop.conditions, GLYCOL_SHARE: share.value})
    coolant = loop_coolant(snapshot, dataclasses.replace(loop, conditions=conditions))
    return Mix(row, mix_amounts(contents_ml, share.value, strength), coolant, _freezing(coolant), share)


def doses_for(loop: ResolvedLoop, contents_ml: float) -> tuple[Dose, ...]:
    """Return how much of each additive the question names goes into a loop.

    Args:
        loop: the loop.
        contents_ml: what it holds [ml].
    """
    additives = (one.row for one in loop.fluid.additives) if loop.fluid is not None else ()
    return tuple(
        Dose(row, _amount(contents_ml, row.dose_low_mg_per_l), _amount(contents_ml, row.dose_high_mg_per_l))
        for row in additives
        if isinstance(row, Additive)
    )


def _amount(contents_ml: float, dose: float | None) -> float | None:
    return dose_mg(contents_ml, dose) if dose is not None else None


def _concentrate_percent(snapshot: Snapshot, loop: ResolvedLoop, row: Fluid) -> float | None:
    """Return the share of glycol in a concentrate [%]; `None` if the fluid is none."""
    assert loop.fluid is not None
    glycols = (FluidBase.PROPYLENE_GLYCOL, FluidBase.ETHYLENE_GLYCOL)
    if row.base not in glycols or row.glycol_share_percent is None:
        return None
    largest = snapshot.limit_set(GLYCOL_SHARE, loop.fluid.elements[0].families).at_most
    is_strong = bool(largest) and row.glycol_share_percent > largest[0].value
    return row.glycol_share_percent if is_strong else None


def _target_share(snapshot: Snapshot, loop: ResolvedLoop, strength: float) -> Given:
    assert loop.fluid is not None
    stated = {**loop.fluid.elements[0].stated, **loop.conditions}.get(GLYCOL_SHARE)
    given = given_or_assumed(snapshot, loop, "quantity/mix-share")
    if stated is None:
        return given
    fact = given.fact._replace(row_id="conditions", column="glycol_share", value=stated, source_id="", locator="")
    return Given(min(stated, strength), fact, None)


def _freezing(coolant: LoopCoolant | Finding) -> float | None:
    if isinstance(coolant, Finding):
        return None
    return freezing_point_c(coolant.glycol, coolant.mass_percent)
