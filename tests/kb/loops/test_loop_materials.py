"""Materials of a loop meet within one circuit, at the temperature that its coolant is computed to reach."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from structure_asking import PORTS, answer, errors, loop, run

from kb.knowledge_base import KnowledgeBase
from schemas.answers.loop import LoopAnswer

ALUMINIUM = {"core": "metal/aluminium-3003", "tank": "metal/aluminium-3003", "solder": None}
COPPER = {"base-plate": "metal/copper", "plating": None}


def two_circuits(*, joined: bool = False, pumped: bool = True) -> dict[str, Any]:
    """A ring with a copper block, and one with an aluminium radiator, which one run may join."""
    second = {
        "res-2": {"kind": "reservoir", "is": "reservoir/tube-150", "materials": {}},
        "top": {"kind": "radiator", "is": "radiator/240x30-medium", "materials": ALUMINIUM},
    }
    if pumped:
        second["pump-2"] = {"kind": "pump", "ports": PORTS}
    asked = loop(figures=False, cpu={"materials": COPPER}, rad={"materials": dict.fromkeys(ALUMINIUM)}, **second)
    order = ["res-2", "pump-2", "top"] if pumped else ["res-2", "top"]
    pairs = zip(order, [*order[1:], order[0]], strict=True)
    asked["runs"] += [run(f"{one}.out", f"{other}.in") for one, other in pairs]
    asked["plugs"] |= {"res-2.drain": "fitting/plug-g-1-4"}
    if joined:
        asked["runs"].append(run("res.fill", "res-2.fill"))
        del asked["plugs"]["res.fill"]
    return asked | {"sections": ["joints", "chemistry"], "detail": "all"}


def couples(found: LoopAnswer) -> set[str]:
    """Places where aluminium meets copper."""
    return {one.place for one in found.findings if "aluminium-3003 beside metal/copper" in one.place}


def of_materials(found: LoopAnswer) -> set[tuple[str, str, str]]:
    """Code, place and verdict of what is said of materials."""
    return {(one.code, one.place, one.verdict.value) for one in found.findings if one.section == "chemistry"}


def test_metals_of_one_circuit_meet(base: KnowledgeBase) -> None:
    assert couples(answer(base, two_circuits(joined=True)))


def test_metals_of_two_circuits_do_not_meet(base: KnowledgeBase) -> None:
    assert not couples(answer(base, two_circuits()))


def test_parts_that_no_pump_drives_count_to_every_circuit(base: KnowledgeBase) -> None:
    assert couples(answer(base, two_circuits(pumped=False)))


@settings(max_examples=8, deadline=None)
@given(st.floats(50, 1500))
def test_materials_are_judged_at_the_upper_end_of_the_computed_temperature(base: KnowledgeBase, heat_w: float) -> None:
    asked = loop(cpu={"heat_w": heat_w}) | {"detail": "all"}
    found = answer(base, asked)
    assert found.heat is not None
    assert found.heat.coolant_hottest_c is not None
    assert found.heat.coolant_to_air_delta_t_k is not None
    range_k = found.heat.coolant_to_air_delta_t_k
    warmest_c = found.heat.coolant_hottest_c + range_k.high - range_k.likely
    at_stated = answer(base, asked | {"conditions": {"coolant-temperature": max(warmest_c, 1.0)}})
    assert of_materials(found) == of_materials(at_stated)
    assert {"temperature-margin", "temperature-margin-lowest"} & {code for code, _, _ in of_materials(found)}


def test_a_cooler_stated_temperature_hides_no_heat(base: KnowledgeBase) -> None:
    hot = loop(cpu={"heat_w": 1200})
    cool = hot | {"conditions": {"coolant-temperature": 25}}
    materials = {one for one in errors(base, hot) if one[0] == "temperature-margin"}
    assert materials
    assert materials <= errors(base, cool)


def test_a_warmer_stated_temperature_still_counts(base: KnowledgeBase) -> None:
    warm = loop() | {"conditions": {"coolant-temperature": 90}}
    assert {code for code, _ in errors(base, warm)} >= {"temperature-margin"}


def test_conditions_of_rules_say_computed_and_not_stated(base: KnowledgeBase) -> None:
    said = [one.sentence for one in answer(base, loop(cpu={"heat_w": 700}) | {"detail": "all"}).findings]
    assert not [sentence for sentence in said if "coolant temperature" in sentence and "(stated:" in sentence]


@settings(max_examples=6, deadline=None)
@given(st.floats(50, 1500), st.sampled_from(["chemistry", "joints"]))
def test_a_section_alone_judges_materials_at_the_same_temperature(
    base: KnowledgeBase, heat_w: float, section: str
) -> None:
    asked = loop(cpu={"heat_w": heat_w}) | {"detail": "all"}
    whole, alone = answer(base, asked), answer(base, asked | {"sections": [section]})
    those = {(one.code, one.place, one.verdict.value) for one in whole.findings if one.section == section}
    assert those <= {(one.code, one.place, one.verdict.value) for one in alone.findings}
