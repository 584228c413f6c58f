"""Coolant that cannot go round, or goes the wrong way, is an error whatever figures a loop gives."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from structure_asking import EXAMPLES, PORTS, answer, codes, errors, exchanged, loop, run

from kb.knowledge_base import KnowledgeBase
from schemas.tables.blocks import Block
from schemas.tables.pumps import Pump

FIGURES = pytest.mark.parametrize("figures", [True, False])
JET_PLATE = "family/block-cpu-jet-plate"
PUMPED = sorted(
    (name, part)
    for name, example in EXAMPLES.items()
    for part, one in example["parts"].items()
    if one["kind"] == "pump" and "sits_in" not in one
)


def without_pump(question: dict[str, Any]) -> dict[str, Any]:
    """The same ring without its pump."""
    parts = {name: part for name, part in question["parts"].items() if name != "pump"}
    return question | {"parts": parts, "runs": [run("res.out", "cpu.in"), *question["runs"][2:]]}


def behind_valve(question: dict[str, Any], *, closed: bool) -> dict[str, Any]:
    """The same ring with a valve before the reservoir."""
    valve = {"kind": "fitting", "is": "fitting/ball-valve-g-1-4-female", "closed": closed}
    runs = [*question["runs"][:-1], run("rad.out", "valve.a"), run("valve.b", "res.in")]
    return question | {"parts": question["parts"] | {"valve": valve}, "runs": runs}


@FIGURES
def test_a_good_ring_has_no_error(base: KnowledgeBase, figures: bool) -> None:
    assert errors(base, loop(figures=figures)) == set()
    assert errors(base, behind_valve(loop(figures=figures), closed=False)) == set()


@FIGURES
def test_heat_without_a_pump_is_an_error(base: KnowledgeBase, figures: bool) -> None:
    assert ("pumps", "the loop") in errors(base, without_pump(loop(figures=figures)))


@FIGURES
def test_a_pump_that_stands_still_is_no_pump(base: KnowledgeBase, figures: bool) -> None:
    assert ("pumps", "the loop") in errors(base, loop(figures=figures, pump={"speed_percent": 0}))


def test_pumps_that_all_stand_still_are_no_pumps(base: KnowledgeBase) -> None:
    assert ("pumps", "the loop") in errors(base, loop(figures=False) | {"conditions": {"pump-speed": 0}})


def test_each_circuit_with_a_block_needs_a_pump_of_its_own(base: KnowledgeBase) -> None:
    two = loop(gpu={"kind": "block", "is": "block/gpu-full-cover"}, top={"kind": "radiator", "ports": PORTS})
    two["runs"] += [run("gpu.out", "top.in"), run("top.out", "gpu.in")]
    assert ("pumps", "the loop: circuit of gpu") in errors(base, two)


@FIGURES
def test_loose_parts_and_several_circuits_do_not_hide_that_no_pump_runs(base: KnowledgeBase, figures: bool) -> None:
    one = without_pump(loop(figures=figures, gpu={"kind": "block", "is": "block/gpu-full-cover"}))
    assert ("pumps", "the loop") in errors(base, one)
    parts = one["parts"] | {"top": {"kind": "radiator", "ports": PORTS}}
    two = one | {"parts": parts, "runs": [*one["runs"], run("gpu.out", "top.in"), run("top.out", "gpu.in")]}
    assert ("pumps", "the loop") in errors(base, two)


@FIGURES
def test_heat_in_a_circuit_without_a_radiator_is_an_error(base: KnowledgeBase, figures: bool) -> None:
    asked = loop(figures=figures, cpu={"heat_w": 150})
    parts = {name: part for name, part in asked["parts"].items() if name != "rad"}
    bare = asked | {"parts": parts, "runs": [*asked["runs"][:2], run("cpu.out", "res.in")]}
    assert ("heat-without-radiator", "cpu") in errors(base, bare)


def test_ports_whose_names_say_no_side_make_nothing_backwards(base: KnowledgeBase) -> None:
    sides = {"a": PORTS["in"], "b": PORTS["out"]}
    asked = loop(figures=False, pump={"ports": sides}, cpu={"ports": sides})
    for one, other in (("a", "b"), ("b", "a")):
        ways = [("res.out", f"pump.{one}"), (f"pump.{other}", f"cpu.{other}"), (f"cpu.{one}", "rad.in")]
        assert errors(base, asked | {"runs": [*(run(*way) for way in ways), asked["runs"][-1]]}) == set()


def test_every_pump_with_exchanged_ports_is_an_error(base: KnowledgeBase) -> None:
    for row in base.snapshot.active(Pump):
        asked = loop(pump={"is": row.id}) | {"sections": ["flow"]}
        assert ("parts-backwards", "pump") not in errors(base, asked), row.id
        assert ("parts-backwards", "pump") in errors(base, exchanged(asked, "pump")), row.id


def test_an_exchanged_pump_is_told_without_figures_and_names_the_cause_alone(base: KnowledgeBase) -> None:
    found = answer(base, exchanged(loop(figures=False), "pump"))
    said = [one for one in found.findings if one.verdict.value == "incompatible"]
    assert [(one.code, one.place) for one in said] == [("parts-backwards", "pump")]
    assert "exchanged" in said[0].sentence
    assert "Exchange the two connections" in (said[0].remedy or "")


@pytest.mark.parametrize(("name", "part"), PUMPED)
def test_a_pump_of_any_example_is_found_out_when_exchanged(base: KnowledgeBase, name: str, part: str) -> None:
    asked = EXAMPLES[name]
    assert ("parts-backwards", part) not in errors(base, asked)
    assert ("parts-backwards", part) in errors(base, exchanged(asked, part))


def test_an_exchanged_pump_is_found_through_splitters(base: KnowledgeBase) -> None:
    tees = {name: {"kind": "fitting", "is": "fitting/tee-g-1-4-female"} for name in ("split", "join")}
    gpu = {"kind": "block", "is": "block/gpu-full-cover"}
    asked = loop(figures=False, gpu=gpu, **tees)
    asked["runs"] = [
        *[run("res.out", "pump.in"), run("pump.out", "split.a"), run("split.b", "cpu.in"), run("split.c", "gpu.in")],
        *[run("cpu.out", "join.b"), run("gpu.out", "join.c"), run("join.a", "rad.in"), run("rad.out", "res.in")],
    ]
    assert errors(base, asked) == set()
    assert errors(base, exchanged(asked, "pump")) == {("parts-backwards", "pump")}
    assert errors(base, exchanged(asked, "cpu")) == {("parts-backwards", "cpu")}


@FIGURES
def test_every_block_with_a_jet_plate_fed_from_behind_is_an_error(base: KnowledgeBase, figures: bool) -> None:
    for row in base.snapshot.active(Block):
        asked = exchanged(loop(figures=figures, cpu={"is": row.id}), "cpu")
        found = errors(base, asked)
        if JET_PLATE in base.snapshot.families(row.family_id):
            assert found == {("parts-backwards", "cpu")}, row.id
        else:
            assert found == set(), row.id
            assert "parts-backwards" in codes(base, asked, "compatible"), row.id


@FIGURES
@settings(max_examples=12, deadline=None)
@given(st.sets(st.sampled_from(["rad", "res"])), st.sets(st.integers(0, 3)))
def test_names_of_other_ports_and_the_direction_of_runs_make_no_error(
    base: KnowledgeBase, figures: bool, swapped: set[str], turned: set[int]
) -> None:
    asked = loop(figures=figures)
    if turned:
        for at in turned:
            way = asked["runs"][at]
            way |= {"from": way["to"], "to": way["from"]}
    else:
        for part in swapped:
            asked = exchanged(asked, part)
    assert errors(base, asked) == set()


@FIGURES
def test_a_shut_valve_in_the_only_way_leaves_no_way_round(base: KnowledgeBase, figures: bool) -> None:
    assert ("flow-paths", "pump") in errors(base, behind_valve(loop(figures=figures), closed=True))


@FIGURES
@pytest.mark.parametrize("at", range(4))
def test_a_missing_run_leaves_no_way_round(base: KnowledgeBase, figures: bool, at: int) -> None:
    asked = loop(figures=figures)
    del asked["runs"][at]
    assert ("flow-paths", "pump") in errors(base, asked)


@FIGURES
def test_a_block_beside_the_way_of_the_coolant_gets_no_flow(base: KnowledgeBase, figures: bool) -> None:
    asked = loop(figures=figures, gpu={"kind": "block", "is": "block/gpu-full-cover", "heat_w": 200})
    asked["runs"] += [run("gpu.in", "res.fill"), run("gpu.out", "res.drain")]
    asked |= {"plugs": {}}
    assert {place for code, place in errors(base, asked) if code in {"flow-paths", "heat-without-flow"}} == {"gpu"}


def test_a_bypass_does_not_hide_flow_through_a_block(base: KnowledgeBase) -> None:
    tees = {name: {"kind": "fitting", "is": "fitting/tee-g-1-4-female"} for name in ("split", "join")}
    asked = loop(figures=False, **tees)
    asked["runs"] = [
        *[run("res.out", "pump.in"), run("pump.out", "split.a"), run("split.b", "cpu.in"), run("split.c", "join.c")],
        *[run("cpu.out", "join.b"), run("join.a", "rad.in"), run("rad.out", "res.in")],
    ]
    assert errors(base, asked) == set()


@settings(max_examples=15, deadline=None)
@given(st.data())
def test_an_example_without_one_of_its_runs_is_never_free_of_errors(base: KnowledgeBase, data: st.DataObject) -> None:
    asked = copy.deepcopy(EXAMPLES[data.draw(st.sampled_from(sorted(EXAMPLES)))])
    del asked["runs"][data.draw(st.integers(0, len(asked["runs"]) - 1))]
    assert errors(base, asked)
