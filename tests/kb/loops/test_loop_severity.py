"""A more severe loop is never judged more mildly; the order of its parts and its other circuits change nothing."""

from __future__ import annotations

from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from structure_asking import EXAMPLES, answer, exchanged, loop, run

from kb.knowledge_base import KnowledgeBase
from schemas.answers.loop import LoopAnswer

FLUIDS = (
    "fluid/propylene-glycol-inhibited-premix",
    "fluid/ethylene-glycol-inhibited-premix",
    "fluid/distilled-water",
    "fluid/water-azole-bit-buffered",
)
FEW = settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
PLACES = 3  # of fans on the radiator
FAULTS = ("pump backwards", "block backwards", "fans of another size", "open port", "none")


def cooled(
    heat_w: float, air_c: float, speed_rpm: float, stopped: int, fluid: str, target_k: float | None
) -> dict[str, Any]:
    """A ring with its heat, air and fans."""
    fans = {"is": "fan/balanced-120", "speed_rpm": speed_rpm, "stopped": stopped}
    asked = loop(cpu={"heat_w": heat_w}, rad={"fans": fans}) | {"air_c": air_c, "fluid": fluid}
    asked |= {"sections": ["heat", "chemistry"]}
    return asked if target_k is None else asked | {"target": {"coolant_to_air_delta_t_k": target_k}}


HEATS, AIRS, SPEEDS = st.floats(10, 1500), st.floats(5, 45), st.floats(500, 1500)
TARGETS = st.one_of(st.none(), st.floats(5, 30))


def milder(one: LoopAnswer, other: LoopAnswer) -> bool:
    """Whether the second is judged more mildly, as a whole or in a section."""
    sections = {at.section: at.verdict.severity for at in one.sections}
    return other.verdict.severity < one.verdict.severity or any(
        at.verdict.severity < sections[at.section] for at in other.sections
    )


@FEW
@given(HEATS, AIRS, SPEEDS, st.sampled_from(FLUIDS), TARGETS, st.floats(1.01, 4))
def test_more_heat_is_never_milder(
    base: KnowledgeBase, heat_w: float, air_c: float, speed: float, fluid: str, target: float | None, times: float
) -> None:
    one, more = (answer(base, cooled(heat, air_c, speed, 0, fluid, target)) for heat in (heat_w, heat_w * times))
    assert not milder(one, more)


@FEW
@given(HEATS, AIRS, SPEEDS, st.sampled_from(FLUIDS), st.floats(0.1, 15))
def test_hotter_air_is_never_milder(
    base: KnowledgeBase, heat_w: float, air_c: float, speed: float, fluid: str, warmer_k: float
) -> None:
    one, more = (answer(base, cooled(heat_w, air, speed, 0, fluid, None)) for air in (air_c, air_c + warmer_k))
    assert not milder(one, more)


@FEW
@given(HEATS, AIRS, SPEEDS, st.sampled_from(FLUIDS), TARGETS, st.integers(1, PLACES))
def test_fewer_fans_are_never_milder(
    base: KnowledgeBase, heat_w: float, air_c: float, speed: float, fluid: str, target: float | None, stopped: int
) -> None:
    one, fewer = (answer(base, cooled(heat_w, air_c, speed, at, fluid, target)) for at in (stopped - 1, stopped))
    assert fewer.verdict.severity >= one.verdict.severity
    assert stopped == PLACES or not milder(one, fewer)  # without any fan no temperature is known


@FEW
@given(HEATS, AIRS, SPEEDS, st.sampled_from(FLUIDS), TARGETS, st.floats(0.5, 0.99))
def test_slower_fans_are_never_milder(
    base: KnowledgeBase, heat_w: float, air_c: float, speed: float, fluid: str, target: float | None, share: float
) -> None:
    one, slower = (answer(base, cooled(heat_w, air_c, at, 0, fluid, target)) for at in (speed, speed * share))
    assert not milder(one, slower)


@FEW
@given(st.floats(-15, 5), st.floats(0.1, 5), st.sampled_from(FLUIDS))
def test_colder_air_below_freezing_is_never_milder(
    base: KnowledgeBase, air_c: float, colder_k: float, fluid: str
) -> None:
    asked = loop(figures=False) | {"fluid": fluid, "sections": ["joints"]}
    one, colder = (answer(base, asked | {"air_c": air}) for air in (air_c, air_c - colder_k))
    assert not milder(one, colder)


def broken(fault: str) -> dict[str, Any]:
    """A loop with one fault."""
    if fault == "pump backwards":
        return exchanged(loop(), "pump")
    if fault == "block backwards":
        return exchanged(loop(), "cpu")
    if fault == "fans of another size":
        return loop(rad={"fans": {"is": "fan/balanced-140"}})
    asked = loop()
    if fault == "open port":
        del asked["runs"][2]
    return asked


def found(one: LoopAnswer) -> set[tuple[str, str, str]]:
    return {(at.code, at.place, at.verdict.value) for at in one.findings}


@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.parametrize("seed", range(2))
def test_the_order_of_parts_and_runs_changes_nothing_that_is_found(base: KnowledgeBase, fault: str, seed: int) -> None:
    asked = broken(fault)
    names, runs = [*asked["parts"]], [*asked["runs"]]
    Random(seed).shuffle(names)
    Random(seed).shuffle(runs)
    turned = asked | {"parts": {name: asked["parts"][name] for name in names}, "runs": runs}
    whole, other = answer(base, asked), answer(base, turned)
    assert {(code, verdict) for code, _, verdict in found(whole)} == {
        (code, verdict) for code, _, verdict in found(other)
    }
    assert other.summary == whole.summary


@pytest.mark.parametrize("fault", FAULTS)
def test_a_second_circuit_neither_hides_nor_takes_over_a_fault(base: KnowledgeBase, fault: str) -> None:
    one = broken(fault)
    second = loop()
    renamed = {f"{name}-2": part for name, part in second["parts"].items()}
    runs = [run(*(end.replace(".", "-2.") for end in (way["from"], way["to"]))) for way in second["runs"]]
    both = one | {
        "parts": one["parts"] | renamed,
        "runs": one["runs"] + runs,
        "plugs": one["plugs"] | {"res-2.fill": "fitting/plug-g-1-4", "res-2.drain": "fitting/plug-g-1-4"},
    }
    errors = {(code, place) for code, place, verdict in found(answer(base, both)) if verdict == "incompatible"}
    alone = {(code, place) for code, place, verdict in found(answer(base, one)) if verdict == "incompatible"}
    assert {at for at in errors if at[1] in one["parts"]} == {at for at in alone if at[1] in one["parts"]}
    assert not {at for at in errors if "-2" in at[1]}


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_an_incompatible_loop_opens_with_what_is_wrong(base: KnowledgeBase, name: str) -> None:
    for asked in (EXAMPLES[name], {**EXAMPLES[name], "runs": EXAMPLES[name]["runs"][1:]}):
        said = answer(base, asked)
        if said.verdict.value == "incompatible":
            first = next(one for one in said.findings if one.verdict.value == "incompatible")
            opening = said.summary.split(". ")[0]
            assert first.place == said.name or any(word in opening for word in ("(", ":")), opening
            assert not opening.startswith(said.name[0].upper() + said.name[1:]), opening
