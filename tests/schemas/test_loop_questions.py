"""The loop question: what each kind of device may say, in numbers or in text with units."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from schemas.questions.loop import Block, LoopQuestion, PumpInLoop, RadiatorInLoop


def asked(**parts: dict[str, Any]) -> LoopQuestion:
    return LoopQuestion.model_validate({"parts": parts})


def test_amounts_may_carry_units() -> None:
    question = asked(
        cpu={
            "kind": "block",
            "is": "block/memory",
            "heat_w": "0.3 kW",
            "drop": {"flow_l_min": "1 gal/min", "drop_kpa": "1 psi"},
        },
        pump={
            "kind": "pump",
            "is": "pump/compact-12-v",
            "head_max_kpa": "4 m",
            "curve": [["1 gpm", "10 kPa"], [10, 0]],
        },
        front={
            "kind": "radiator",
            "is": "radiator/240x30-low",
            "air_c": "77 degF",
            "place": {"depth_mm": "2 1/4 in"},
            "fans": {"is": "fan/balanced-120", "flow_max_m3_per_h": "50 cfm", "pressure_max_pa": "2 mmH2O"},
        },
    )
    block, pump, radiator = (question.parts[name] for name in ("cpu", "pump", "front"))
    assert isinstance(block, Block) and isinstance(pump, PumpInLoop) and isinstance(radiator, RadiatorInLoop)
    assert block.heat_w == 300
    assert block.drop is not None and block.drop.flow_l_min == pytest.approx(3.785411784)
    assert pump.head_max_kpa == pytest.approx(39.2266)
    assert radiator.air_c == pytest.approx(25)
    assert radiator.place is not None and radiator.place.depth_mm == pytest.approx(57.15)
    assert radiator.fans is not None and radiator.fans.pressure_max_pa == pytest.approx(19.6133)


@pytest.mark.parametrize(
    ("part", "field"),
    [
        ({"kind": "block", "is": "block/memory", "fans": {"is": "fan/balanced-120"}}, "fans"),
        ({"kind": "pump", "is": "pump/compact-12-v", "heat_w": 3}, "heat_w"),
        ({"kind": "reservoir", "is": "reservoir/tube-150", "speed_percent": 50}, "speed_percent"),
        ({"kind": "block", "is": "block/memory", "heat_w": "300 V"}, "heat_w"),
        ({"kind": "block", "is": "block/memory", "heat_w": float("nan")}, "heat_w"),
    ],
)
def test_what_a_device_cannot_say_is_refused_at_its_field(part: dict[str, Any], field: str) -> None:
    with pytest.raises(ValidationError) as refused:
        asked(one=part)
    assert all(field in error["loc"] for error in refused.value.errors())


def test_a_device_needs_ports_or_an_archetype() -> None:
    with pytest.raises(ValidationError, match="give ports or is"):
        asked(cpu={"kind": "block", "heat_w": 3})
    with pytest.raises(ValidationError, match="leave ports out"):
        asked(tee={"kind": "fitting", "is": "fitting/tee-g-1-4-female", "ports": {"a": "port/g-1-4-loop"}})
