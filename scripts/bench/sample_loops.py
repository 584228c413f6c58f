"""Invented loops that are timed, the same in process and over HTTP.

Owns: a loop of twelve parts in any number of variants, with and without the figures that its performance follows from,
and the large loop of the demo. Does not own: timing (`bench.py`, `bench_http.py`).
"""

from __future__ import annotations

import json
from typing import Any

from kb.store.examples import EXAMPLES_FOLDER

DEMO = EXAMPLES_FOLDER / "first-loop.json"
LARGE = DEMO.with_name("large-loop.json")
FITTING = "fitting/compression-10x16-g-1-4"
PORTS = {"in": "port/g-1-4-loop", "out": "port/g-1-4-loop"}
DEVICES: dict[str, dict[str, Any]] = {
    "pump": {"kind": "pump", "ports": PORTS},
    "processor": {"kind": "block", "ports": PORTS},
    "graphics": {"kind": "block", "ports": PORTS},
    "radiator": {"kind": "radiator", "ports": PORTS},
}
PERFORMANCE: dict[str, dict[str, Any]] = {
    "pump": {"is": "pump/medium-12-v-high-head", "speed_percent": 70, "height_mm": -200},
    "processor": {"is": "block/cpu-micro-fin", "heat_w": 125},
    "graphics": {"is": "block/gpu-full-cover", "heat_w": 300, "added_weight_g": 850},
    "radiator": {
        "is": "radiator/360x30-medium",
        "fans": {"is": "fan/balanced-120", "speed_rpm": 1000},
        "place": {"depth_mm": 60},
    },
}


def twelve_parts(number: int) -> dict[str, Any]:
    """Return a loop of twelve parts, four devices and eight fittings; chemistry and fit are judged.

    Args:
        number: another one gives another question.

    >>> loop = twelve_parts(0)
    >>> len(loop["parts"]) + sum(len(run["fittings_from"] + run["fittings_to"]) for run in loop["runs"])
    12
    """
    names = list(DEVICES)
    runs = [
        {
            "from": f"{one}.out",
            "to": f"{other}.in",
            "tube": "tube/soft-10x16",
            "length_mm": 100 + number % 10_000,
            "fittings_from": [FITTING],
            "fittings_to": [FITTING],
        }
        for one, other in zip(names, [*names[1:], names[0]], strict=True)
    ]
    return {
        "name": f"loop {number}",
        "parts": DEVICES,
        "runs": runs,
        "fluid": "fluid/propylene-glycol-inhibited-premix",
        "conditions": {"coolant-temperature": 40},
    }


def twelve_parts_with_performance(number: int) -> dict[str, Any]:
    """Return the same loop with figures for every section.

    Args:
        number: another one gives another question.
    """
    loop = twelve_parts(number)
    return {**loop, "parts": {name: {**part, **PERFORMANCE[name]} for name, part in loop["parts"].items()}}


def large_loop(number: int) -> dict[str, Any]:
    """Return the large loop of the demo: ten devices and 24 fittings, every section.

    Args:
        number: another one gives it air of its own.
    """
    question: dict[str, Any] = json.loads(LARGE.read_text(encoding="utf-8"))
    return {**question, "name": f"loop {number}", "air_c": 18 + number % 10_000 / 1000}
