"""Whether the coolant stays a liquid: above its freezing point in the coldest air, well below its boiling point.

Owns: which temperatures are held against freezing and boiling. Does not own: the freezing point
(`kb/formulas/coolant/freezing.py`), the heat of a loop, or limits.
A loop that stands still takes the temperature of the air around it, so stated air below freezing is enough: how much
heat the loop carries while it runs does not matter.
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.evidence.limits import judge_number
from kb.evidence.tree import Fact, Finding, Missing, Number
from kb.formulas.coolant.freezing import freezing_point_c
from kb.formulas.fit.counts import excess
from kb.loops.assumptions import given_or_assumed
from kb.loops.coolant import PROPERTIES_MISSING, LoopCoolant, loop_coolant
from kb.loops.loop import ResolvedLoop
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.questions.loop import RadiatorInLoop
from schemas.tables.fluids import Fluid, FluidBase

AIR = "quantity/air-temperature"
BOILING_POINT = "quantity/boiling-point"
COOLANT_TEMPERATURE = "quantity/coolant-temperature"
_LOOP = ("family/loop",)
_NOTHING_FREEZES_C = 0.0  # water with anything in it freezes below
_BOIL_LIKE_WATER = frozenset({FluidBase.WATER, FluidBase.PROPYLENE_GLYCOL, FluidBase.ETHYLENE_GLYCOL})


def phase_findings(snapshot: Snapshot, loop: ResolvedLoop, warmest_c: float | None) -> list[Finding]:
    """Return where the coolant would freeze or come near boiling; nothing for what is in order.

    Args:
        snapshot: the knowledge.
        loop: the loop; without a named fluid nothing is said.
        warmest_c: upper end of the computed coolant temperature [degC]; `None` if it was not computed.
    """
    if loop.fluid is None:
        return []
    found = [*_freezing(snapshot, loop), *_boiling(snapshot, loop, warmest_c), *_service(snapshot, loop, warmest_c)]
    return [finding for finding in found if finding.judgement is not Judgement.PASS]


def _freezing(snapshot: Snapshot, loop: ResolvedLoop) -> Iterator[Finding]:
    coldest = min(_stated_c(loop), key=lambda fact: float(fact.value), default=None)
    if coldest is None or float(coldest.value) >= _NOTHING_FREEZES_C:
        return
    coolant = loop_coolant(snapshot, loop)
    freezing_c = _freezing_c(coolant)
    if not isinstance(coolant, LoopCoolant) or freezing_c is None:
        missing = Missing(loop.question.name, "freezing point", "fluid")
        yield Finding(PROPERTIES_MISSING, Judgement.GAP, loop.question.name, (missing, coldest))
        return
    freezing = Fact(loop.question.name, "freezing_point_c", freezing_c, "", "")
    number = Number("quantity/freezing-margin", excess(float(coldest.value), freezing_c), (coldest, *coolant.facts))
    yield judge_number(snapshot, number, _LOOP, loop.question.name, freezing)


def _freezing_c(coolant: LoopCoolant | Finding) -> float | None:
    return freezing_point_c(coolant.glycol, coolant.mass_percent) if isinstance(coolant, LoopCoolant) else None


def _stated_c(loop: ResolvedLoop) -> Iterator[Fact]:
    """Yield every stated temperature that the coolant takes: of the air when it stands still, and of itself."""
    if loop.question.air_c is not None:
        yield Fact(loop.question.name, "air_c", loop.question.air_c, "", "")
    for part in loop.parts.values():
        if isinstance(part.asked, RadiatorInLoop) and part.asked.air_c is not None:
            yield Fact(part.name, "air_c", part.asked.air_c, "", "")
    for quantity in (AIR, COOLANT_TEMPERATURE):
        if quantity in loop.conditions:
            column = quantity.removeprefix("quantity/").replace("-", "_")
            yield Fact("conditions", column, loop.conditions[quantity], "", "")


def _service(snapshot: Snapshot, loop: ResolvedLoop, warmest_c: float | None) -> Iterator[Finding]:
    """Yield what parts are usually made for against a stated temperature; a computed one is judged with the heat."""
    stated_c = loop.conditions.get(COOLANT_TEMPERATURE)
    if stated_c is not None and (warmest_c is None or stated_c > warmest_c):
        said = Fact("conditions", "coolant_temperature", stated_c, "", "")
        number = Number(COOLANT_TEMPERATURE, stated_c, (said,))
        yield judge_number(snapshot, number, _LOOP, loop.question.name)


def _boiling(snapshot: Snapshot, loop: ResolvedLoop, warmest_c: float | None) -> Iterator[Finding]:
    assert loop.fluid is not None
    row = loop.fluid.elements[0].row
    if not isinstance(row, Fluid) or row.base not in _BOIL_LIKE_WATER:
        return
    warm: list[Fact | Number] = []
    if warmest_c is not None:
        warm.append(Number("quantity/coolant-temperature-high", warmest_c, ()))
    if COOLANT_TEMPERATURE in loop.conditions:
        warm.append(Fact("conditions", "coolant_temperature", loop.conditions[COOLANT_TEMPERATURE], "", ""))
    if not warm:
        return
    said_by = max(warm, key=lambda one: float(one.value))
    value, boiling = float(said_by.value), given_or_assumed(snapshot, loop, BOILING_POINT)
    number = Number("quantity/boiling-margin", excess(boiling.value, value), (boiling.fact, said_by))
    yield judge_number(snapshot, number, _LOOP, loop.question.name)
