"""Odd and hostile loops: each is answered with finite numbers and reported gaps, or refused at a field of its own."""

from __future__ import annotations

import copy
import json
import time
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import Any

import pytest
from flow_asking import PORT, block, pump, radiator, ring, run, tank, tee, two_circuits, two_ports, valve
from hypothesis import HealthCheck, given, settings
from loop_strategies import loops
from promises import answered, asked, refused, verdicts
from pydantic import ValidationError

from kb.formulas.flow import pipe_network as network
from kb.knowledge_base import KnowledgeBase
from kb.loops.deadline import Budget
from schemas.questions.choices import Section
from schemas.questions.loop import LoopQuestion
from schemas.questions.questions import MOST_PARTS
from schemas.verdict import Verdict

CHECKOUT = Path(__file__).parents[3]
EVERY = [section.value for section in Section]
FANS = {"is": "fan/balanced-120", "speed_rpm": 1000}
LONGEST_ANSWER_S = 3.0  # about three times what it takes here
LONGEST_STEP_S = 0.6  # a fifth of that


def hot(**more: Any) -> dict[str, Any]:
    return block(heat_w=200, **more)


def cold(kind: str = "240x30-low", **more: Any) -> dict[str, Any]:
    return radiator(kind, **{"fans": FANS, **more})


def sound_loop(**changes: dict[str, Any] | None) -> dict[str, Any]:
    """A ring that computes in every section, some parts changed, added or (with none) left out."""
    parts: dict[str, Any] = {"tank": tank(), "pump": pump(), "cpu": hot(), "rad": cold()}
    for name, change in changes.items():
        parts[name] = None if change is None else {**parts.get(name, {}), **change}
    kept = {name: part for name, part in parts.items() if part is not None}
    return {**ring(kept), "sections": EVERY}


def with_all(question: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {**question, "sections": EVERY, **more}


def side_by_side_everything() -> dict[str, Any]:
    """Every part between the same two nodes."""
    parts: dict[str, Any] = {"fork": tank(), "pump": pump(), "cpu": hot(), "rad": cold(), "filter": passive()}
    runs = [run("fork.out", f"{name}.in") for name in ("pump", "cpu", "rad", "filter")]
    runs += [run("fork.in", f"{name}.out") for name in ("pump", "cpu", "rad", "filter")]
    return {"parts": parts, "runs": runs, "fluid": "fluid/distilled-water"}


def passive(kind: str = "filter", **more: Any) -> dict[str, Any]:
    return {"kind": kind, "ports": two_ports(), **more}


def pumps_head_on() -> dict[str, Any]:
    parts = {"one": pump(), "cpu": hot(), "two": pump(), "rad": cold()}
    runs = [run("one.out", "cpu.in"), run("cpu.out", "two.out"), run("two.in", "rad.in"), run("rad.out", "one.in")]
    return {"parts": parts, "runs": runs, "fluid": "fluid/distilled-water"}


def dead_end() -> dict[str, Any]:
    parts = {"pump": pump(), "cpu": hot(), "gpu": hot()}
    return {
        "parts": parts,
        "runs": [run("pump.out", "cpu.in"), run("cpu.out", "gpu.in")],
        "fluid": "fluid/tap-water-hard",
    }


def ports_used_often() -> dict[str, Any]:
    question = sound_loop()
    return {
        **question,
        "runs": [*question["runs"], *question["runs"], run("cpu.in", "cpu.out"), run("rad.in", "pump.out")],
    }


def many_parts(count: int) -> dict[str, Any]:
    parts: dict[str, Any] = {"tank": tank(), "pump": pump()}
    parts |= {f"block-{at}": hot() for at in range((count - 2) // 2)}
    parts |= {f"rad-{at}": cold() for at in range(count - len(parts))}
    return ring(parts)


ODD: dict[str, dict[str, Any]] = {
    "no pump": with_all(sound_loop(pump=None)),
    "no reservoir": with_all(sound_loop(tank=None)),
    "no radiator": with_all(sound_loop(rad=None)),
    "no block": with_all(sound_loop(cpu=None)),
    "no run": with_all(sound_loop(), runs=[]),
    "no fluid": {key: value for key, value in sound_loop().items() if key != "fluid"},
    "pump alone": {"parts": {"pump": pump()}, "sections": EVERY},
    "pumps head on": with_all(pumps_head_on()),
    "everything side by side": with_all(side_by_side_everything()),
    "two circuits": with_all(two_circuits()),
    "dead end": with_all(dead_end()),
    "ports used often": with_all(ports_used_often()),
    "valves shut everywhere": with_all(sound_loop(one=valve(closed=True), two=valve(closed=True))),
    "dead pump": with_all(sound_loop(pump={"speed_percent": 0})),
    "creeping pump": with_all(sound_loop(pump={"speed_percent": 1e-9})),
    "no heat": with_all(sound_loop(cpu={"heat_w": 0})),
    "heat not said": with_all(sound_loop(cpu={"heat_w": None})),
    "100 kW": with_all(sound_loop(cpu={"heat_w": 100_000})),
    "hot room": with_all(sound_loop(), air_c=60, conditions={"coolant-temperature": 99.5}),
    "cold room": with_all(sound_loop(), air_c=-20),
    "concentrate": with_all(sound_loop(), fluid="fluid/propylene-glycol-inhibited"),
    "oil": with_all(sound_loop(), fluid="fluid/mineral-oil"),
    "dielectric": with_all(sound_loop(), fluid="fluid/dielectric-fluorinated"),
    "fluid of the asker": with_all(sound_loop(), fluid={"is": "fluid/distilled-water", "properties": {"ph": 0.1}}),
    "two hundred parts": {**many_parts(MOST_PARTS), "sections": [one for one in EVERY if one != "heat"]},
    "air in a long chain": with_all(
        sound_loop(b=cold(air_from={"rad": 100}), c=cold(air_from={"b": 100}), d=cold(air_from={"c": 100}))
    ),
    "air nearly in a circle": with_all(sound_loop(rad={"air_from": {"b": 99.9999}}, b=cold(air_from={"rad": 99.9999}))),
    "all fans stopped": with_all(sound_loop(rad={"fans": {**FANS, "stopped": 2}})),
    "no fan": with_all(sound_loop(rad={"fans": {**FANS, "count": 0}})),
    "fans of another size": with_all(sound_loop(rad={"fans": {"is": "fan/balanced-140"}})),
    "fans at 0 rpm": with_all(sound_loop(rad={"fans": {"is": "fan/balanced-120", "speed_rpm": 0}})),
    "fans at 20000 rpm": with_all(sound_loop(rad={"fans": {"is": "fan/balanced-120", "speed_rpm": 20_000}})),
    "a breath of a fan": with_all(
        sound_loop(rad={"fans": {**FANS, "pressure_max_pa": 1e-3, "flow_max_m3_per_h": 0.01, "speed_rpm": 1e-6}})
    ),
    "fins closed": with_all(sound_loop(rad={"fins_per_inch": 59.9})),
    "no fins": with_all(sound_loop(rad={"fins_per_inch": 0.1})),
    "fins at the edge of the correlation": with_all(sound_loop(rad={"fins_per_inch": 2.3})),
    "thin core": with_all(sound_loop(rad={"thickness_mm": 12.8})),
    "drop next to nothing": with_all(sound_loop(cpu={"drop": {"flow_l_min": 1000, "drop_kpa": 1e-3}})),
    "drop beyond all": with_all(sound_loop(cpu={"drop": {"flow_l_min": 0.01, "drop_kpa": 1000}})),
    "clogged": with_all(sound_loop(f=passive(clogged_times=1000, drop={"flow_l_min": 0.01, "drop_kpa": 1000}))),
    "weak pump": with_all(sound_loop(pump={"head_max_kpa": 1e-3, "flow_max_l_min": 0.01})),
    "pump beyond all": with_all(sound_loop(pump={"curve": [[0, 1000], [1000, 0]]})),
    "port alone": with_all(sound_loop(s={"kind": "sensor", "ports": {"in": PORT}}), runs=[]),
    "names of programs": {
        "parts": {"constructor": pump(), "prototype": hot(), "null": cold(), "undefined": tank()},
        "runs": [run("constructor.out", "prototype.in"), run("null.out", "undefined.in")],
        "sections": EVERY,
        "name": "__proto__ [bold]{x}%s",
        "fluid": "fluid/distilled-water",
    },
    "ends of places": with_all(
        sound_loop(
            rad={
                "place": dict.fromkeys(
                    ["depth_mm", "length_mm", "width_mm", "fan_size_mm", "port_clearance_mm"], 0.001
                ),
                "screws": {"length_mm": 0.001, "washer_mm": 49.9, "behind_plate_mm": 0},
            }
        )
    ),
    "ends of runs": with_all(ring({"tank": tank(), "pump": pump(), "cpu": hot()}, length_mm=1e-3, bends_deg=3600)),
    "detail": with_all(sound_loop(), detail="all"),
}


@pytest.mark.parametrize("question", ODD.values(), ids=ODD.keys())
def test_an_odd_loop_is_answered_with_finite_numbers_and_reported_gaps(
    base: KnowledgeBase, question: dict[str, Any]
) -> None:
    answered(base, question)


def air_handed_on(count: int) -> dict[str, Any]:
    """A ring of radiators, each with its own core and with air from the one before."""
    parts: dict[str, Any] = {"tank": tank(), "pump": pump(), "cpu": hot()}
    for at in range(count - len(parts)):
        air = {"air_from": {f"rad-{at - 1}": 60}} if at else {}
        parts[f"rad-{at}"] = cold(fins_per_inch=10 + at / 10, **air)
    return with_all(ring(parts))


def side_by_side(count: int) -> dict[str, Any]:
    """As many branches as there can be, a block and a radiator in each."""
    parts: dict[str, Any] = {"tank": tank(), "far": tank(), "pump": pump()}
    runs = [run("tank.out", "pump.in"), run("pump.out", "far.in")]
    for at in range((count - len(parts)) // 2):
        parts |= {f"cpu-{at}": hot(), f"rad-{at}": cold()}
        runs += [run("far.out", f"cpu-{at}.in"), run(f"cpu-{at}.out", f"rad-{at}.in"), run(f"rad-{at}.out", "tank.in")]
    return with_all({"parts": parts, "runs": runs, "fluid": "fluid/distilled-water"})


@pytest.mark.parametrize("make", [many_parts, air_handed_on, side_by_side])
def test_the_heat_of_the_largest_loop_is_answered_in_time_and_balances(
    base: KnowledgeBase, make: Callable[[int], dict[str, Any]]
) -> None:
    """Counted is computing, whoever else is at work; what is made once for all questions is made before."""
    answered(base, ODD["detail"])
    question = LoopQuestion.model_validate(make(MOST_PARTS))
    looks = LookedAt()
    began = time.process_time()
    answer = base.loop_within(question, looks)
    assert time.process_time() - began < LONGEST_ANSWER_S
    assert looks.longest_s < LONGEST_STEP_S, looks.before
    assert answer.heat is not None
    assert answer.heat.heat_balance_error == pytest.approx(0, abs=1e-6)


class LookedAt(Budget):
    """Time without end that knows how long nobody looked at it."""

    __slots__ = ("before", "before_s", "longest_s")

    def __init__(self) -> None:
        super().__init__()
        self.before_s, self.longest_s, self.before = time.process_time(), 0.0, ""

    def check(self, stage: str) -> None:
        now = time.process_time()
        if now - self.before_s > self.longest_s:
            self.longest_s, self.before = now - self.before_s, stage
        self.before_s = now


WITHOUT: list[tuple[str, Section]] = [
    ("no pump", Section.FLOW),
    ("no run", Section.FLOW),
    ("no run", Section.HEAT),
    ("no radiator", Section.HEAT),
    ("no fluid", Section.FLOW),
    ("no fluid", Section.HEAT),
    ("no fluid", Section.CHEMISTRY),
    ("pump alone", Section.HEAT),
    ("pump alone", Section.SPACE),
    ("heat not said", Section.HEAT),
    ("oil", Section.FLOW),
    ("oil", Section.HEAT),
    ("dielectric", Section.HEAT),
    ("fans of another size", Section.HEAT),
    ("all fans stopped", Section.HEAT),
    ("no fins", Section.HEAT),
    ("dead pump", Section.HEAT),
    ("valves shut everywhere", Section.HEAT),
]


@pytest.mark.parametrize(("name", "section"), WITHOUT)
def test_a_section_asked_alone_without_its_data_is_never_well(base: KnowledgeBase, name: str, section: Section) -> None:
    answer = answered(base, {**ODD[name], "sections": [section.value]})
    assert verdicts(answer)[section] in {Verdict.UNKNOWN, Verdict.INCOMPATIBLE}
    assert any(one.remedy for one in answer.findings)


REFUSED: dict[str, tuple[dict[str, Any], str]] = {
    "curve that rises": (sound_loop(pump={"curve": [[0, 10], [5, 20], [9, 0]]}), "parts.pump.curve"),
    "curve of one point": (sound_loop(pump={"curve": [[0, 10]]}), "parts.pump.curve"),
    "curve with a point twice": (sound_loop(pump={"curve": [[0, 10], [0, 10], [9, 0]]}), "parts.pump.curve"),
    "curve that ends above zero": (sound_loop(pump={"curve": [[0, 10], [9, 1]]}), "parts.pump.curve"),
    "more fans than places": (sound_loop(rad={"fans": {**FANS, "count": 3}}), "parts.rad.fans.count"),
    "more stopped than fans": (sound_loop(rad={"fans": {**FANS, "stopped": 3}}), "parts.rad.fans.stopped"),
    "fans that are no fans": (sound_loop(rad={"fans": {"is": "tube/soft-10x16"}}), "parts.rad.fans.is"),
    "own air": (sound_loop(rad={"air_from": {"rad": 10}}), "parts.rad.air_from"),
    "air out of nothing": (sound_loop(rad={"air_from": {"cpu": 10}}), "parts.rad.air_from.cpu"),
    "too much air": (sound_loop(rad={"air_from": {"b": 60, "c": 60}}, b=cold(), c=cold()), "parts.rad.air_from"),
    "air in a circle": (sound_loop(rad={"air_from": {"b": 100}}, b=cold(air_from={"rad": 100})), "parts.b.air_from"),
    "pump in a radiator": (sound_loop(pump={"sits_in": "rad"}), "parts.pump.sits_in"),
    "core of no depth": (sound_loop(rad={"thickness_mm": 1}), "parts.rad.thickness_mm"),
    "port nobody has": (sound_loop() | {"runs": [run("pump.out", "cpu.inn")]}, "runs.0.to"),
}


@pytest.mark.parametrize(("question", "field"), REFUSED.values(), ids=REFUSED.keys())
def test_what_cannot_be_is_refused_at_its_field(base: KnowledgeBase, question: dict[str, Any], field: str) -> None:
    assert refused(base, question).field == field


@pytest.mark.parametrize(
    "change",
    [
        {"heat_w": float("nan")},
        {"heat_w": float("inf")},
        {"heat_w": True},
        {"heat_w": "a lot"},
        {"heat_w": "9**9 W"},
        {"drop": {"flow_l_min": 4}},
        {"height_mm": "1e9 mm"},
        {"ports": {"__proto__": PORT}},
        {"materials": {"__class__": "metal/copper"}},
    ],
)
def test_numbers_and_names_of_another_form_are_refused_before_anything_is_judged(change: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        LoopQuestion.model_validate(sound_loop(cpu=change))


def test_a_name_that_means_something_to_programs_is_no_name_of_a_part() -> None:
    with pytest.raises(ValidationError):
        LoopQuestion.model_validate({"parts": {"__proto__": pump()}})


def test_a_flow_that_cannot_be_found_is_unknown(base: KnowledgeBase, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(network, "MOST_STEPS", 0)
    answer = answered(base, sound_loop(fork=tee()) | {"sections": ["flow", "heat"]})
    assert {one.code for one in answer.findings} == {"flow-not-found"}


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(question=loops())
def test_any_loop_is_answered_or_refused_at_one_of_its_fields(base: KnowledgeBase, question: dict[str, Any]) -> None:
    asked(base, question)


@pytest.fixture(scope="module", params=["first-loop", "large-loop"])
def demo(request: pytest.FixtureRequest) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((CHECKOUT / "kb" / "examples" / f"{request.param}.json").read_text())
    return found


def test_each_section_alone_says_what_it_says_in_the_whole_answer(base: KnowledgeBase, demo: dict[str, Any]) -> None:
    whole = verdicts(answered(base, demo))
    alone = {one: verdicts(answered(base, {**demo, "sections": [one.value]}))[one] for one in Section}
    assert alone == whole


@pytest.mark.parametrize("seed", range(3))
def test_the_order_of_the_question_changes_no_verdict(base: KnowledgeBase, demo: dict[str, Any], seed: int) -> None:
    names, runs = [*demo["parts"]], [*demo["runs"]]
    Random(seed).shuffle(names)
    Random(seed).shuffle(runs)
    other = answered(base, {**demo, "parts": {name: demo["parts"][name] for name in names}, "runs": runs})
    before = answered(base, demo)
    assert verdicts(other) == verdicts(before)
    assert sorted(one.code for one in other.findings) == sorted(one.code for one in before.findings)
    assert other.heat is not None
    assert before.heat is not None
    assert other.heat.coolant_hottest_c == pytest.approx(before.heat.coolant_hottest_c, abs=1e-3)


@pytest.mark.parametrize("at", range(3))
def test_a_run_named_from_its_other_end_is_the_same_run(base: KnowledgeBase, demo: dict[str, Any], at: int) -> None:
    turned = copy.deepcopy(demo)
    there = turned["runs"][at]
    there["from"], there["to"] = there["to"], there["from"]
    there["fittings_from"], there["fittings_to"] = there.get("fittings_to", []), there.get("fittings_from", [])
    other, before = answered(base, turned), answered(base, demo)
    assert verdicts(other) == verdicts(before)
    assert other.heat is not None
    assert before.heat is not None
    assert other.heat.coolant_hottest_c == pytest.approx(before.heat.coolant_hottest_c, abs=0.5)


def test_more_heat_is_never_milder(base: KnowledgeBase) -> None:
    severities = []
    for heat in (0, 1, 50, 150, 400, 1000, 5000, 100_000):
        answer = answered(base, sound_loop(cpu={"heat_w": heat}) | {"sections": ["heat"]})
        severities.append(answer.verdict.severity)
    assert severities == sorted(severities)
    assert severities[0] < severities[-1]
