"""What warms the coolant: cooled parts through their blocks, and pumps.

Owns: heats and thermal resistances as the question and the tables give them. Does not own: temperatures
(`kb/loops/heat/state.py`).
A table gives the thermal resistance of a block as a range; the likely value is its geometric middle.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

from kb.evidence.tree import Finding, Missing
from kb.formulas.flow.pipe_network import NetworkState
from kb.formulas.flow.pump_curve import hydraulic_power_w
from kb.formulas.heat.fan_laws import power_at_speed
from kb.formulas.heat.temperatures import resistance_at_flow
from kb.loops.loop import LoopPart, ResolvedLoop
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.messages import Gap
from schemas.questions.loop import Block, PumpInLoop
from schemas.tables.blocks import Block as BlockRow
from schemas.tables.pumps import Pump

HEAT_UNKNOWN = Gap.HEAT_UNKNOWN.value
THERMAL_RESISTANCE_UNKNOWN = Gap.THERMAL_RESISTANCE_UNKNOWN.value
PUMP_SPEED = "quantity/pump-speed"
_FULL_PERCENT = 100
_STAGES = (("core", "core_share_percent"), ("memory", "memory_share_percent"))
_POWER_STAGES = ("vrm", "vrm_share_percent")


class ThermalResistance(NamedTuple):
    """Cooled surface over entering coolant, per watt, at a flow.

    Attributes:
        low_k_per_w: of a good block, well mounted.
        likely_k_per_w: the likely value.
        high_k_per_w: of a poor one.
        flow_l_min: the flow it belongs to; `None` if it does not say.
        exponent: m of R ~ Q^-m.
        known_by: row or place of the question that says so.
    """

    low_k_per_w: float
    likely_k_per_w: float
    high_k_per_w: float
    flow_l_min: float | None
    exponent: float
    known_by: str

    def at_flow(self, flow_l_min: float) -> tuple[float, float, float]:
        """Return low, likely and high [K/W] at another flow: R0 (Q / Q0)^-m; endless without flow."""
        ratio = flow_l_min / self.flow_l_min if self.flow_l_min else float(flow_l_min > 0)
        low, likely, high = self.low_k_per_w, self.likely_k_per_w, self.high_k_per_w
        return (
            resistance_at_flow(low, ratio, self.exponent),
            resistance_at_flow(likely, ratio, self.exponent),
            resistance_at_flow(high, ratio, self.exponent),
        )


class HeatSource(NamedTuple):
    """A cooled part.

    Attributes:
        name: its block in the loop.
        title: what people call it.
        families: ids whose limits apply, nearest first.
        heat_w: heat it gives to the block.
        overclocked: whether it runs beyond stock.
        stages: stage -> its share of the heat [W]; empty if there is only one.
        resistance: `None` if nobody says it.
    """

    name: str
    title: str
    families: tuple[str, ...]
    heat_w: float
    overclocked: bool
    stages: Mapping[str, float]
    resistance: ThermalResistance | None


def heat_sources(loop: ResolvedLoop) -> tuple[tuple[HeatSource, ...], tuple[Finding, ...]]:
    """Return the cooled parts of a loop, in the order of the question, and what is not known of them.

    Args:
        loop: the loop. A block without a stated heat is left out and reported; one without a known thermal resistance
            is kept and reported.
    """
    sources: list[HeatSource] = []
    findings: list[Finding] = []
    for part in loop.parts.values():
        asked = part.asked
        if not isinstance(asked, Block):
            continue
        if asked.heat_w is None:
            findings.append(_gap(HEAT_UNKNOWN, part.name, "heat", "heat_w"))
            continue
        source = _source(part, asked, asked.heat_w)
        sources.append(source)
        if source.resistance is None:
            findings.append(
                _gap(THERMAL_RESISTANCE_UNKNOWN, part.name, "thermal resistance", "thermal_resistance_k_per_w")
            )
    return tuple(sources), tuple(findings)


def _gap(code: str, name: str, what: str, field: str) -> Finding:
    return Finding(code, Judgement.GAP, name, (Missing(name, what, f"parts.{name}.{field}"),))


def _source(part: LoopPart, asked: Block, heat_w: float) -> HeatSource:
    row = part.row if isinstance(part.row, BlockRow) else None
    title = asked.title or (row.title if row is not None else "block")
    stages = _stages(row, heat_w) if row is not None else {}
    return HeatSource(part.name, title, part.families, heat_w, asked.overclocked, stages, _resistance(part, asked, row))


def _stages(row: BlockRow, heat_w: float) -> dict[str, float]:
    shares = {stage: getattr(row, column) for stage, column in (*_STAGES, _POWER_STAGES)}
    stages = {stage: heat_w * share / _FULL_PERCENT for stage, share in shares.items() if share > 0}
    return stages if len(stages) > 1 else {}


def _resistance(part: LoopPart, asked: Block, row: BlockRow | None) -> ThermalResistance | None:
    """Return what the question states, at the flow of its drop, before what the archetype says."""
    usual_flow, exponent = (row.reference_flow_l_min, row.thermal_exponent) if row is not None else (None, 0.0)
    stated = asked.thermal_resistance_k_per_w
    if stated is not None:
        flow = asked.drop.flow_l_min if asked.drop is not None else usual_flow
        place = f"parts.{part.name}.thermal_resistance_k_per_w"
        return ThermalResistance(stated, stated, stated, flow, exponent, place)
    if row is None:
        return None
    low, high = row.thermal_resistance_low_k_per_w, row.thermal_resistance_high_k_per_w
    return ThermalResistance(low, math.sqrt(low * high), high, usual_flow, exponent, row.id)


def pump_heats(snapshot: Snapshot, loop: ResolvedLoop, state: NetworkState) -> dict[str, float]:
    """Return what pumps give to the coolant, by name [W].

    Args:
        snapshot: the knowledge.
        loop: the loop.
        state: flows and drops, for pumps whose electric power nobody knows.

    Validity: all electric power counts, though a part of it goes to the air: an upper bound. It falls with the cube of
    the speed. Without it the power of flow and head counts, a lower bound.
    Source: affinity laws; balance of energy.
    """
    heats = {}
    for name, part in loop.parts.items():
        if isinstance(part.asked, PumpInLoop):
            full = part.asked.power_w
            if full is None and isinstance(part.row, Pump):
                full = part.row.power_w
            speed = pump_speed_percent(snapshot, loop, part.asked) / _FULL_PERCENT
            heats[name] = power_at_speed(full, speed) if full is not None else hydraulic_heat_w(state, name)
    return heats


def hydraulic_heat_w(state: NetworkState, name: str) -> float:
    """Return what a pump does on the coolant, which all ends as heat in it [W]; 0 if it stands still or resists the
    flow.

    Args:
        state: flows and drops.
        name: the pump.

    Source: balance of energy.
    """
    return max(0.0, hydraulic_power_w(state.flows_l_min.get(name, 0.0), -state.drops_kpa.get(name, 0.0)))


def pump_speed_percent(snapshot: Snapshot, loop: ResolvedLoop, asked: PumpInLoop) -> float:
    """Return the speed of a pump [%]: stated of it, stated of the loop, or assumed.

    Args:
        snapshot: the knowledge.
        loop: the loop.
        asked: the pump.
    """
    if asked.speed_percent is not None:
        return asked.speed_percent
    if PUMP_SPEED in loop.conditions:
        return loop.conditions[PUMP_SPEED]
    assumed = snapshot.assumption(PUMP_SPEED)
    return assumed.value if assumed is not None else float(_FULL_PERCENT)
