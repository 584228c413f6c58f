"""Asking about the flow of a loop in tests: loops of twelve parts, side by side, with two pumps, in two circuits.

Owns: these loops and the way from a question to what is judged. Does not own: any promise.
"""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise
from typing import Any

from kb.formulas.flow.flow_path import Restriction
from kb.loops.coolant import LoopCoolant, loop_coolant
from kb.loops.flow.judge import FlowPerformance, judge_flow
from kb.loops.flow.network import LoopNetwork
from kb.loops.loop import ResolvedLoop, resolve_loop
from kb.parts.resolver import Resolver
from kb.report.sections.flow import report_flow
from kb.store.snapshot import Snapshot
from schemas.answers.flow import FlowSection
from schemas.questions.loop import LoopQuestion

FITTING, TUBE, PORT = "fitting/compression-10x16-g-1-4", "tube/soft-10x16", "port/g-1-4-loop"
PUMP = "pump/medium-12-v-high-flow"
PREMIX = "fluid/propylene-glycol-inhibited-premix"


def two_ports() -> dict[str, str]:
    return {"in": PORT, "out": PORT}


def run(start: str, end: str, **more: Any) -> dict[str, Any]:
    return {
        **{"from": start, "to": end, "tube": TUBE, "length_mm": 300},
        **{"fittings_from": [FITTING], "fittings_to": [FITTING]},
        **more,
    }


def pump(**more: Any) -> dict[str, Any]:
    return {"kind": "pump", "is": PUMP, "ports": two_ports(), **more}


def block(kind: str = "gpu-full-cover", **more: Any) -> dict[str, Any]:
    return {"kind": "block", "is": f"block/{kind}", **more}


def radiator(kind: str = "240x30-low", **more: Any) -> dict[str, Any]:
    return {"kind": "radiator", "is": f"radiator/{kind}", **more}


def tank(**more: Any) -> dict[str, Any]:
    return {"kind": "reservoir", "is": "reservoir/tube-150", **more}


def tee() -> dict[str, Any]:
    return {"kind": "fitting", "is": "fitting/y-g-1-4-female"}


def valve(**more: Any) -> dict[str, Any]:
    return {"kind": "fitting", "is": "fitting/ball-valve-g-1-4-female", **more}


def ports_of(name: str, part: dict[str, Any]) -> tuple[str, str]:
    return (f"{name}.a", f"{name}.b") if part["kind"] == "fitting" else (f"{name}.in", f"{name}.out")


def ring(parts: dict[str, dict[str, Any]], **more: Any) -> dict[str, Any]:
    """Return a loop through the parts in their order, back to the first; `more` goes to every run."""
    names = [*parts, next(iter(parts))]
    runs = [run(ports_of(one, parts[one])[1], ports_of(two, parts[two])[0], **more) for one, two in pairwise(names)]
    return {"parts": parts, "runs": runs, "fluid": PREMIX}


def twelve(pump_part: dict[str, Any] | None = None, **more: Any) -> dict[str, Any]:
    """Return a loop of twelve parts."""
    passive = {"ports": two_ports()}
    parts = {
        "tank": tank(),
        "pump": pump_part or pump(),
        "filter": {"kind": "filter", **passive},
        "cpu": block("cpu-micro-fin"),
        "ram": block("memory"),
        "vrm": block("vrm"),
        "front": radiator("360x30-low"),
        "gpu": block(),
        "top": radiator(),
        "sensor": {"kind": "sensor", **passive},
        "back": radiator("120x30-low"),
        "valve": valve(),
    }
    return ring(parts, **more)


def side_by_side(**drops_kpa: float | None) -> dict[str, Any]:
    """Return a loop with blocks side by side, each with its drop at 4 l/min; without one it is its class."""
    parts: dict[str, Any] = {"tank": tank(), "pump": pump(), "fork": tee(), "join": tee(), "rad": radiator()}
    runs = [run("tank.out", "pump.in"), run("pump.out", "fork.a"), run("join.a", "rad.in"), run("rad.out", "tank.in")]
    for letter, (name, drop) in zip("bc", drops_kpa.items(), strict=True):
        parts[name] = block(**({"drop": {"flow_l_min": 4.0, "drop_kpa": drop}} if drop is not None else {}))
        runs += [run(f"fork.{letter}", f"{name}.in"), run(f"{name}.out", f"join.{letter}")]
    return {"parts": parts, "runs": runs, "fluid": PREMIX}


def two_pumps_side_by_side(**second: Any) -> dict[str, Any]:
    """Return a loop with two pumps side by side."""
    parts = {"tank": tank(), "one": pump(), "two": pump(**second), "join": tee(), "cpu": block(), "rad": radiator()}
    runs = [
        *(run("tank.out", "one.in"), run("tank.fill", "two.in"), run("one.out", "join.b"), run("two.out", "join.c")),
        *(run("join.a", "cpu.in"), run("cpu.out", "rad.in"), run("rad.out", "tank.in")),
    ]
    return {"parts": parts, "runs": runs, "fluid": PREMIX}


def two_circuits() -> dict[str, Any]:
    """Return two loops that share nothing; the second has no pump."""
    first = ring({"tank": tank(), "pump": pump(), "cpu": block(), "rad": radiator()})
    second = ring({"pot": tank(), "gpu": block(), "top": radiator()})
    return {"parts": first["parts"] | second["parts"], "runs": first["runs"] + second["runs"], "fluid": PREMIX}


def resolved(snapshot: Snapshot, asked: dict[str, Any]) -> ResolvedLoop:
    """Return the loop that is asked for."""
    question = LoopQuestion.model_validate(asked)
    conditions = {f"quantity/{name}": value for name, value in question.conditions.items()}
    return resolve_loop(snapshot, Resolver(snapshot), question, conditions)


def flow(snapshot: Snapshot, asked: dict[str, Any], temperature_c: float = 40.0) -> FlowPerformance:
    """Return what is judged of the flow."""
    loop = resolved(snapshot, asked)
    coolant = loop_coolant(snapshot, loop)
    assert isinstance(coolant, LoopCoolant)
    return judge_flow(snapshot, loop, coolant, temperature_c)


def reported(snapshot: Snapshot, asked: dict[str, Any]) -> FlowSection:
    """Return what is told of the flow."""
    return report_flow(snapshot, flow(snapshot, asked))


def likely(performance: FlowPerformance, branch: str) -> float:
    """Return the likely flow of a branch [l/min]."""
    return performance.states[Restriction.USUAL].flows_l_min[branch]


def left_at_nodes(network: LoopNetwork, flows: Any) -> dict[str, float]:
    """Return what enters each node and does not leave it [l/min]."""
    left: dict[str, float] = defaultdict(float)
    for name, branch in network.branches.items():
        left[branch.start] -= flows[name]
        left[branch.end] += flows[name]
    return left
