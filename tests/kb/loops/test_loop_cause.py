"""The first sentence about a loop that does not work names what is wrong, where, and before what follows from it."""

from __future__ import annotations

from typing import Any

import pytest
from structure_asking import answer, exchanged, loop, run

from kb.knowledge_base import KnowledgeBase

RING = loop() | {"name": "invented loop"}
NO_PUMP = {name: part for name, part in RING["parts"].items() if name != "pump"}
ASIDE = {"kind": "block", "is": "block/gpu-full-cover", "heat_w": 200}


@pytest.mark.parametrize(
    ("asked", "opening"),
    [
        (RING | {"parts": NO_PUMP, "runs": [run("res.out", "cpu.in"), *RING["runs"][2:]]}, "No pump runs: "),
        (RING | {"parts": NO_PUMP | {"card": ASIDE}, "runs": RING["runs"][2:]}, "No pump runs: "),
        (exchanged(RING, "pump"), "Pump backwards (pump): "),
        (exchanged(RING, "cpu"), "Block backwards (cpu): "),
        (RING | {"runs": RING["runs"][:-1]}, "No way round (pump): "),
        (RING | {"parts": RING["parts"] | {"card": ASIDE}}, "No flow (card): "),
        (loop(rad={"fans": {"is": "fan/balanced-140"}}), "Fans of the wrong size (rad"),
        (loop(rad={"fans": {"is": "fan/balanced-120", "speed_rpm": 9000}}), "Fans above their maximum speed (rad"),
        (RING | {"fluid": "fluid/distilled-water", "air_c": -5}, "The coolant freezes: "),
        (loop(cpu={"heat_w": 2000}), "The coolant comes near boiling: "),
    ],
)
def test_summary_and_findings_open_with_the_cause(base: KnowledgeBase, asked: dict[str, Any], opening: str) -> None:
    said = answer(base, asked)
    assert said.verdict.value == "incompatible"
    assert said.summary.startswith(opening), said.summary
    assert opening.split(" (", maxsplit=1)[0].removesuffix(": ") in said.findings[0].sentence


def test_a_cause_among_substances_calls_them_by_name(base: KnowledgeBase) -> None:
    bare = {"materials": {"base-plate": "metal/magnesium", "plating": None}}
    summary = answer(base, loop(cpu=bare) | {"fluid": "fluid/distilled-water", "sections": ["chemistry"]}).summary
    assert "magnesium" in summary.split(". ")[0].lower()
    assert "metal/" not in summary


def test_a_loop_without_an_error_opens_with_its_name(base: KnowledgeBase) -> None:
    said = answer(base, RING | {"sections": ["joints"]})
    assert said.verdict.value != "incompatible"
    assert said.summary.startswith("Invented loop")
