"""Asking about filling and space in tests: a sound loop, changed as a test wants it.

Owns: that loop and the way from a question to what is judged. Does not own: any promise.
"""

from __future__ import annotations

import copy
from typing import Any

from kb.loops.fill.judge import FillPlan, judge_fill
from kb.loops.loop import ResolvedLoop, resolve_loop
from kb.loops.space.judge import SpaceCheck, judge_space
from kb.parts.resolver import Resolver
from kb.report.sections.fill import report_fill
from kb.report.sections.space import report_space
from kb.store.snapshot import Snapshot
from schemas.answers.fill import FillSection
from schemas.answers.space import SpaceSection
from schemas.questions.loop import LoopQuestion

SOUND: dict[str, Any] = {
    "parts": {
        "tank": {"kind": "reservoir", "is": "reservoir/tube-150", "height_mm": 0},
        "pump": {
            "kind": "pump",
            "is": "pump/medium-12-v-high-flow",
            "ports": {"in": "port/g-1-4-loop", "out": "port/g-1-4-loop"},
            "height_mm": -200,
        },
        "cpu": {"kind": "block", "is": "block/cpu-micro-fin"},
        "gpu": {"kind": "block", "is": "block/gpu-full-cover", "added_weight_g": 400},
        "rad": {
            "kind": "radiator",
            "is": "radiator/240x30-low",
            "fans": {"is": "fan/balanced-120"},
            "place": {"depth_mm": 70, "fan_size_mm": 120, "hole_spacing_mm": 105, "port_clearance_mm": 100},
            "screws": {"length_mm": 29, "thread": "m3", "behind_plate_mm": 6},
        },
    },
    "runs": [
        {"from": "tank.out", "to": "pump.in", "length_mm": 100},
        {"from": "pump.out", "to": "cpu.in", "length_mm": 300},
        {"from": "cpu.out", "to": "gpu.in", "length_mm": 300},
        {"from": "gpu.out", "to": "rad.in", "length_mm": 400},
        {"from": "rad.out", "to": "tank.in", "length_mm": 300},
    ],
    "plugs": {"tank.fill": "fitting/plug-g-1-4", "tank.drain": "fitting/plug-g-1-4"},
    "fluid": "fluid/propylene-glycol-inhibited-premix",
}
TUBE = "tube/soft-10x16"
FITTING = "fitting/compression-10x16-g-1-4"


def question(**parts: dict[str, Any]) -> dict[str, Any]:
    """Return the sound loop with fields of its parts, by name, put over it."""
    asked = copy.deepcopy(SOUND)
    for run in asked["runs"]:
        run |= {"tube": TUBE, "fittings_from": [FITTING], "fittings_to": [FITTING]}
    for name, fields in parts.items():
        asked["parts"][name] |= fields
    return asked


def resolved(snapshot: Snapshot, asked: dict[str, Any]) -> ResolvedLoop:
    """Return the loop of a question."""
    conditions = {f"quantity/{name}": value for name, value in asked.get("conditions", {}).items()}
    return resolve_loop(snapshot, Resolver(snapshot), LoopQuestion.model_validate(asked), conditions)


def fill(snapshot: Snapshot, asked: dict[str, Any], hottest_c: float | None = None) -> FillPlan:
    """Return what is judged of filling."""
    return judge_fill(snapshot, resolved(snapshot, asked), hottest_c)


def fill_report(snapshot: Snapshot, asked: dict[str, Any], hottest_c: float | None = None) -> FillSection:
    """Return what is reported of filling."""
    return report_fill(snapshot, fill(snapshot, asked, hottest_c))


def space(snapshot: Snapshot, asked: dict[str, Any]) -> SpaceCheck:
    """Return what is judged of space."""
    return judge_space(snapshot, resolved(snapshot, asked))


def space_report(snapshot: Snapshot, asked: dict[str, Any]) -> SpaceSection:
    """Return what is reported of space."""
    return report_space(snapshot, space(snapshot, asked))
