"""Asking about substances: a pair, and a loop built from named surfaces."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from kb.knowledge_base import KnowledgeBase
from schemas.answers.answers import Finding, PairAnswer
from schemas.answers.loop import LoopAnswer

PORT = {"in": "port/g-1-4-loop"}

Ask = Callable[..., PairAnswer]
AskLoop = Callable[..., LoopAnswer]


@pytest.fixture(scope="session")
def ask(base: KnowledgeBase) -> Ask:
    """Ask how two substances get on; circumstances by their names with underscores."""

    def pair(a: Any, b: Any, **conditions: float) -> PairAnswer:
        named = {name.replace("_", "-"): value for name, value in conditions.items()}
        return base.pair(a, b, conditions=named)

    return pair


@pytest.fixture(scope="session")
def ask_loop(base: KnowledgeBase) -> AskLoop:
    """Ask about a loop of devices, each given by the materials of its surfaces; areas by device, in their order."""

    def loop(
        devices: dict[str, dict[str, str | None]],
        fluid: Any,
        areas: dict[str, dict[str, float]] | None = None,
        **conditions: float,
    ) -> LoopAnswer:
        parts = {
            name: {
                "kind": kind_of(name),
                "ports": PORT,
                "materials": materials,
                "areas_cm2": (areas or {}).get(name, {}),
            }
            for name, materials in devices.items()
        }
        named = {name.replace("_", "-"): value for name, value in conditions.items()}
        question = {"parts": parts, "fluid": fluid, "conditions": named, "detail": "all", "sections": ["chemistry"]}
        return base.loop(question)

    return loop


def kind_of(name: str) -> str:
    """Return the kind of a device from its name: `block-2` is a block."""
    return name.split("-", 1)[0]


Reported = Callable[[Any, str], Finding]


@pytest.fixture(scope="session")
def reported() -> Reported:
    """Return the one finding of an answer with a code."""

    def one(answer: Any, code: str) -> Finding:
        found = [finding for finding in answer.findings if finding.code == code]
        assert len(found) == 1, f"{code} among {[finding.code for finding in answer.findings]}"
        return found[0]

    return one
