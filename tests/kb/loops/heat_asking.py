"""What tests of heat share: an invented loop of one ring, and asking about it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from kb.evidence.tree import Finding, LimitCheck
from kb.knowledge_base import KnowledgeBase
from kb.loops.coolant import LoopCoolant, loop_coolant
from kb.loops.flow.network import build_network
from kb.loops.heat.judge import HeatPerformance, judge_heat
from kb.loops.loop import resolve_loop
from kb.parts.resolver import Resolver
from kb.report.sections.heat import report_heat
from schemas.answers.heat import HeatSection
from schemas.questions.loop import LoopQuestion

ORDER = ("res", "pump", "cpu", "gpu", "rad")


def fans(is_: str = "fan/low-speed-120", rpm: float | None = 800, **more: Any) -> dict[str, Any]:
    """Fans of a radiator."""
    return {"is": is_, "speed_rpm": rpm, **more}


def radiator(is_: str = "radiator/480x30-low", **more: Any) -> dict[str, Any]:
    """A radiator with low-speed fans unless told otherwise."""
    return {"kind": "radiator", "is": is_, "fans": fans(), **more}


def parts(**changes: Mapping[str, Any] | None) -> dict[str, Any]:
    """Parts of the scene, some changed, added or (with none) left out."""
    usual: dict[str, Any] = {
        "res": {"kind": "reservoir", "is": "reservoir/tube-150"},
        "pump": {"kind": "pump", "is": "pump/compact-12-v"},
        "cpu": {"kind": "block", "is": "block/cpu-micro-fin", "heat_w": 125},
        "gpu": {"kind": "block", "is": "block/gpu-full-cover", "heat_w": 300},
        "rad": radiator(),
    }
    for name, change in changes.items():
        usual[name] = None if change is None else {**usual.get(name, {}), **change}
    return {name: part for name, part in usual.items() if part is not None}


def run(start: str, end: str) -> dict[str, Any]:
    """A run of soft tube without fittings."""
    return {"from": start, "to": end, "tube": "tube/soft-3-8x5-8", "length_mm": 300}


def ring(order: tuple[str, ...] = ORDER, **changes: Mapping[str, Any] | None) -> dict[str, Any]:
    """A loop whose parts stand one behind the other."""
    behind = (*order[1:], order[0])
    return {
        "parts": parts(**changes),
        "runs": [run(f"{one}.out", f"{two}.in") for one, two in zip(order, behind, strict=True)],
        "fluid": "fluid/distilled-water",
    }


def judged(base: KnowledgeBase, question: Mapping[str, Any]) -> HeatPerformance:
    """Judge the heat of a loop."""
    snapshot = base.snapshot
    asked = LoopQuestion.model_validate(question)
    stated = {f"quantity/{name}": float(value) for name, value in asked.conditions.items()}
    loop = resolve_loop(snapshot, Resolver(snapshot), asked, stated)
    coolant = loop_coolant(snapshot, loop)
    assert isinstance(coolant, LoopCoolant)
    return judge_heat(snapshot, loop, coolant, build_network(snapshot, loop))


def reported(base: KnowledgeBase, question: Mapping[str, Any]) -> HeatSection:
    """The heat of a loop as it is reported."""
    return report_heat(base.snapshot, judged(base, question))


def delta_t(base: KnowledgeBase, question: Mapping[str, Any]) -> float:
    """Likely coolant-to-air temperature difference."""
    uncertainty = judged(base, question).uncertainty
    assert uncertainty is not None
    return uncertainty.likely_k


def broken(findings: tuple[Finding, ...]) -> set[str]:
    """Limits that are broken."""
    return {
        node.limit.id for one in findings for node in one.evidence if isinstance(node, LimitCheck) and not node.holds
    }


def codes(findings: tuple[Finding, ...]) -> set[str]:
    """Codes of findings that are not well."""
    return {one.code for one in findings if one.verdict.value != "compatible"}
