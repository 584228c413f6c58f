"""What tests of whole loops share: an invented ring with every fitting, and what an answer says is wrong."""

from __future__ import annotations

import copy
import json
from collections.abc import Mapping
from typing import Any

from kb.knowledge_base import KnowledgeBase
from kb.store.examples import EXAMPLES_FOLDER
from schemas.answers.loop import LoopAnswer
from schemas.questions.loop import LoopQuestion

FITTING = "fitting/compression-10x16-g-1-4"
TUBE = {"is": "tube/soft-10x16", "material": "elastomer/epdm"}
PORT = "port/g-1-4-loop"
PORTS = {"in": PORT, "out": PORT}
EXAMPLES = {path.stem: json.loads(path.read_text("utf-8")) for path in sorted(EXAMPLES_FOLDER.glob("*.json"))}


def run(start: str, end: str) -> dict[str, Any]:
    """A run of soft tube with its fittings."""
    fittings = [FITTING]
    return {
        "from": start,
        "to": end,
        "tube": TUBE,
        "length_mm": 300,
        "bends_deg": 90,
        "fittings_from": fittings,
        "fittings_to": fittings,
    }


def loop(*, figures: bool = True, **changes: Mapping[str, Any]) -> dict[str, Any]:
    """A ring of reservoir, pump, block and radiator, some parts changed; without figures only joints are judged."""
    parts: dict[str, Any] = {
        "res": {"kind": "reservoir", "is": "reservoir/tube-150"},
        "pump": {"kind": "pump", "ports": PORTS},
        "cpu": {"kind": "block", "is": "block/cpu-micro-fin"},
        "rad": {"kind": "radiator", "is": "radiator/360x30-medium", "fans": {"is": "fan/balanced-120"}},
    }
    if figures:
        parts["pump"] |= {"is": "pump/medium-12-v-high-head", "speed_percent": 100}
        parts["cpu"] |= {"heat_w": 150}
    for name, change in changes.items():
        parts[name] = {**parts.get(name, {}), **change}
    ways = [("res.out", "pump.in"), ("pump.out", "cpu.in"), ("cpu.out", "rad.in"), ("rad.out", "res.in")]
    return {
        "parts": parts,
        "runs": [run(*way) for way in ways],
        "plugs": dict.fromkeys(("res.fill", "res.drain"), "fitting/plug-g-1-4"),
        "fluid": "fluid/propylene-glycol-inhibited-premix",
    }


def exchanged(question: Mapping[str, Any], part: str, one: str = "in", other: str = "out") -> dict[str, Any]:
    """The same loop with two ports of a part exchanged in all runs."""
    changed = copy.deepcopy(dict(question))
    ports = {f"{part}.{one}": f"{part}.{other}", f"{part}.{other}": f"{part}.{one}"}
    for way in changed["runs"]:
        way |= {end: ports.get(way[end], way[end]) for end in ("from", "to")}
    return changed


def answer(base: KnowledgeBase, question: Mapping[str, Any]) -> LoopAnswer:
    """Ask about a loop."""
    return base.loop(LoopQuestion.model_validate(question))


def errors(base: KnowledgeBase, question: Mapping[str, Any]) -> set[tuple[str, str]]:
    """Code and place of every error of a loop; a loop that has one is incompatible."""
    found = answer(base, question)
    those = {(one.code, one.place) for one in found.findings if one.verdict.value == "incompatible"}
    assert (found.verdict.value == "incompatible") == bool(those)
    return those


def codes(base: KnowledgeBase, question: Mapping[str, Any], verdict: str) -> set[str]:
    """Codes of every finding of one verdict."""
    return {one.code for one in answer(base, question).findings if one.verdict.value == verdict}
