"""The pumps of a loop: which curve, at which speed.

Owns: choosing between points of the question, an archetype, and an archetype scaled to the question. Does not own: the
curves (`kb/formulas/flow/pump_curve.py`).
"""

from __future__ import annotations

from kb.evidence.tree import Fact
from kb.formulas.flow.flow_path import FlowPath, RunningPump
from kb.formulas.flow.pump_curve import CurveError, PumpCurve, pump_curve
from kb.loops.flow.assumptions import Assumptions
from kb.loops.flow.elements import curve_of, resistance_row
from kb.loops.flow.parts import KnownFlowPath
from kb.loops.loop import LoopPart
from kb.store.faults import QuestionError
from kb.store.snapshot import Snapshot
from schemas.questions.loop import PumpInLoop
from schemas.tables.pump_points import PumpPoint
from schemas.tables.pumps import Pump

SPEED = "quantity/pump-speed"
STATED_CURVE, SCALED = "stated", "scaled"


def pump_flow_path(snapshot: Snapshot, part: LoopPart, assumptions: Assumptions) -> KnownFlowPath | None:
    """Return the flow path through a pump, `None` if nothing is known of its curve.

    Args:
        snapshot: the knowledge.
        part: the pump.
        assumptions: for its speed.

    Raises:
        QuestionError: if the points of the question are no curve.

    Validity: a curve scaled to a stated head or flow keeps the shape of its class.
    """
    asked, row = part.asked, part.row
    assert isinstance(asked, PumpInLoop)
    if asked.curve:
        curve, facts = _stated(snapshot, part.name, asked, row)
        said_by = STATED_CURVE
    elif isinstance(row, Pump):
        curve, facts, said_by = _scaled(snapshot, part.name, asked, row)
    else:
        return None
    speed = speed_fact(part.name, asked, assumptions)
    running = RunningPump(curve, float(speed.value) / 100, 1)
    return KnownFlowPath(FlowPath(pumps=(running,)), (*facts, speed), said_by)


def speed_fact(name: str, asked: PumpInLoop, assumptions: Assumptions) -> Fact:
    """Return the share of its full speed at which a pump runs [%]."""
    if asked.speed_percent is not None:
        return Fact(name, "speed_percent", asked.speed_percent, "", "")
    return assumptions.fact(SPEED)


def _stated(snapshot: Snapshot, name: str, asked: PumpInLoop, row: object) -> tuple[PumpCurve, tuple[Fact, ...]]:
    """Return a pump by the points of its curve; what it takes while it is active still, its archetype or kind says."""
    flow_l_min, drop = _active(snapshot, row)
    try:
        curve = pump_curve(asked.curve, flow_l_min, float(drop.value))
    except CurveError as error:
        raise QuestionError(f"parts.{name}.curve", error.what, error.fix) from None
    return curve, (*(Fact(name, "head_kpa", head, "", "") for _, head in asked.curve), drop)


def _active(snapshot: Snapshot, row: object) -> tuple[float, Fact]:
    if isinstance(row, Pump):
        drop = Fact(row.id, "stopped_drop_kpa", row.stopped_drop_kpa, row.source_id, row.locator or "")
        return row.stopped_flow_l_min, drop
    kind = resistance_row(snapshot, "family/pump", None)
    assert kind is not None and kind.drop_kpa is not None, "resistances.csv has a row for stopped pumps"
    return kind.reference_flow_l_min or 1.0, Fact(
        kind.id, "drop_kpa", kind.drop_kpa, kind.source_id, kind.locator or ""
    )


def _scaled(snapshot: Snapshot, name: str, asked: PumpInLoop, row: Pump) -> tuple[PumpCurve, tuple[Fact, ...], str]:
    curve = curve_of(snapshot, row)
    facts = snapshot.derive(("pump-facts", row.id), lambda: _facts(snapshot, row))
    head = (asked.head_max_kpa or curve.heads_kpa[0]) / curve.heads_kpa[0]
    flow = (asked.flow_max_l_min or curve.flows_l_min[-1]) / curve.flows_l_min[-1]
    if head == flow == 1:
        return curve, facts, row.id
    said = {"head_max_kpa": asked.head_max_kpa, "flow_max_l_min": asked.flow_max_l_min}
    given = tuple(Fact(name, column, value, "", "") for column, value in said.items() if value is not None)
    flows = tuple(flow * one for one in curve.flows_l_min)
    heads = tuple(head * one for one in curve.heads_kpa)
    return PumpCurve(flows, heads, curve.stopped_kpa_per_flow2), (*facts, *given), SCALED


def _facts(snapshot: Snapshot, row: Pump) -> tuple[Fact, ...]:
    points = [one for one in snapshot.active(PumpPoint) if one.pump_id == row.id]
    _, stopped = _active(snapshot, row)
    return (*(Fact(one.id, "head_kpa", one.head_kpa, one.source_id, one.locator or "") for one in points), stopped)
