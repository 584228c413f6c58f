"""Fans that cannot be, coolant that freezes or boils, open ports: told of a loop whatever figures it gives."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from structure_asking import FITTING, answer, codes, errors, loop, run

from kb.evidence.tree import LimitCheck
from kb.knowledge_base import KnowledgeBase
from kb.loops.fan_faults import fan_faults
from kb.loops.loop import resolve_loop
from kb.parts.resolver import Resolver
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.questions.loop import LoopQuestion
from schemas.tables.fans import Fan
from schemas.tables.fittings import Fitting
from schemas.tables.radiators import Radiator
from schemas.tables.reservoirs import Reservoir

FIGURES = pytest.mark.parametrize("figures", [True, False])
WATER = {"fluid": "fluid/distilled-water"}
SIZE = ("fan-size-difference", "rad, fans and radiator")


def broken(snapshot: Snapshot, radiator: str, fan: str, speed_rpm: float | None = None) -> set[str]:
    """Limits in the way of a fan on a radiator."""
    question = {
        "parts": {"rad": {"kind": "radiator", "is": radiator, "fans": {"is": fan, "speed_rpm": speed_rpm}}},
    }
    asked = resolve_loop(snapshot, Resolver(snapshot), LoopQuestion.model_validate(question), {})
    found = [one for one in fan_faults(snapshot, asked, False, False) if one.judgement is Judgement.ERROR]
    return {node.limit.id for one in found for node in one.evidence if isinstance(node, LimitCheck)}


def test_every_fan_on_every_radiator_is_an_error_just_if_sizes_differ(snapshot: Snapshot) -> None:
    for fan, radiator in product(snapshot.active(Fan), snapshot.active(Radiator)):
        differ = fan.fan_size_mm != radiator.fan_size_mm
        assert broken(snapshot, radiator.id, fan.id) == ({"limit/fan-size-apart"} if differ else set())


@settings(max_examples=40, deadline=None)
@given(st.data(), st.floats(0.1, 3.0))
def test_every_fan_above_its_greatest_speed_is_an_error(snapshot: Snapshot, data: st.DataObject, share: float) -> None:
    fan = data.draw(st.sampled_from(sorted(snapshot.active(Fan), key=lambda row: row.id)))
    sizes = {row.fan_size_mm: row.id for row in snapshot.active(Radiator)}
    if fan.fan_size_mm in sizes:
        found = broken(snapshot, sizes[fan.fan_size_mm], fan.id, share * fan.speed_max_rpm)
        assert found == ({"limit/fan-speed-share"} if share > 1 else set())


@FIGURES
def test_fans_of_another_size_are_an_error_whatever_else_is_stated(base: KnowledgeBase, figures: bool) -> None:
    other = {"fans": {"is": "fan/balanced-140"}}
    assert errors(base, loop(figures=figures, rad=other)) == {SIZE}
    assert SIZE in errors(base, loop(figures=figures, rad=other | {"screws": {"length_mm": 30}}))


@FIGURES
def test_fans_above_their_greatest_speed_are_an_error_unless_it_is_stated(base: KnowledgeBase, figures: bool) -> None:
    fast = {"is": "fan/balanced-120", "speed_rpm": 9000}
    assert errors(base, loop(figures=figures, rad={"fans": fast})) == {("fan-speed-share", "rad")}
    stated = fast | {"speed_max_rpm": 9000}
    assert ("fan-speed-share", "rad") not in errors(base, loop(figures=figures, rad={"fans": stated}))


@settings(max_examples=15, deadline=None)
@given(st.one_of(st.floats(-20, -1e-6), st.floats(0, 30)), st.sampled_from([0.0, 20.0, 400.0]), st.booleans())
def test_water_freezes_in_any_air_below_zero_however_much_heat_there_is(
    base: KnowledgeBase, air_c: float, heat_w: float, figures: bool
) -> None:
    asked = loop(figures=figures) | WATER | {"air_c": air_c}
    if figures:
        asked["parts"]["cpu"] |= {"heat_w": heat_w}
    assert (("freezing-margin", "the loop") in errors(base, asked)) == (air_c < 0)


@FIGURES
@pytest.mark.parametrize("where", ["room", "radiator", "air condition", "coolant condition"])
def test_cold_is_found_wherever_it_is_stated(base: KnowledgeBase, where: str, figures: bool) -> None:
    asked = loop(figures=figures) | WATER
    if where == "room":
        asked |= {"air_c": -5}
    elif where == "radiator":
        asked["parts"]["rad"] |= {"air_c": -5}
    else:
        asked |= {"conditions": {"air-temperature" if where == "air condition" else "coolant-temperature": -5}}
    assert ("freezing-margin", "the loop") in errors(base, asked)


def test_glycol_freezes_where_its_share_says(base: KnowledgeBase) -> None:
    cold = loop(figures=False) | {"air_c": -5}
    assert errors(base, cold) == set()
    assert ("freezing-margin", "the loop") in errors(base, cold | {"conditions": {"glycol-share": 5}})
    assert ("freezing-margin", "the loop") in errors(base, cold | {"air_c": -19})


def test_frost_in_a_fluid_whose_freezing_point_nobody_knows_is_a_gap(base: KnowledgeBase) -> None:
    frost = loop(figures=False) | {"fluid": "fluid/mineral-oil", "air_c": -15}
    assert "coolant-properties-missing" in codes(base, frost, "unknown")


@FIGURES
def test_coolant_near_boiling_is_an_error(base: KnowledgeBase, figures: bool) -> None:
    boiling = ("boiling-margin", "the loop")
    stated = loop(figures=figures) | {"conditions": {"coolant-temperature": 95}}
    assert boiling in errors(base, stated)
    assert boiling not in errors(base, stated | {"conditions": {"coolant-temperature": 85}})
    assert boiling in errors(base, stated | {"conditions": {"coolant-temperature": 85, "boiling-point": 90}})


def test_computed_coolant_near_boiling_is_an_error(base: KnowledgeBase) -> None:
    found = errors(base, loop(cpu={"heat_w": 2000}))
    assert ("boiling-margin", "the loop") in found


def test_a_filler_cap_and_a_drain_of_every_reservoir_are_no_open_ports(base: KnowledgeBase) -> None:
    for row in base.snapshot.active(Reservoir):
        if row.ports >= 4:
            asked = loop(figures=False, res={"is": row.id}) | {"plugs": {}}
            others = {("open-ends", f"res.port-{number}") for number in range(5, row.ports + 1)}
            assert errors(base, asked) == others, row.id
            assert "service-ports-unplugged" in codes(base, asked, "compatible")


def test_a_port_that_is_neither_stays_open(base: KnowledgeBase) -> None:
    port = "port/g-1-4-loop"
    asked = loop(figures=False, rad={"ports": {"in": port, "out": port, "out-2": port}})
    assert errors(base, asked) == {("open-ends", "rad.out-2")}


def test_every_valve_in_a_port_closes_its_own_free_end(base: KnowledgeBase) -> None:
    snapshot = base.snapshot
    valves = [row.id for row in snapshot.active(Fitting) if "family/fitting-valve" in snapshot.families(row.family_id)]
    for valve in valves:
        asked = loop(figures=False)
        found = errors(base, asked | {"plugs": asked["plugs"] | {"res.drain": valve}})
        assert not {place for code, place in found if code == "open-ends"}, valve


def test_the_free_end_of_a_valve_at_a_tee_is_closed_only_if_the_valve_is_shut(base: KnowledgeBase) -> None:
    for closed in (True, False):
        asked = loop(
            figures=False,
            tee={"kind": "fitting", "is": "fitting/tee-g-1-4-female"},
            valve={"kind": "fitting", "is": "fitting/ball-valve-g-1-4-male-female", "closed": closed},
        )
        pass_on = {"from": "tee.c", "to": "valve.a"}
        asked["runs"] = [*asked["runs"][:-1], run("rad.out", "tee.a"), run("tee.b", "res.in"), pass_on]
        assert (("open-ends", "valve.b") in errors(base, asked)) is not closed


def test_a_filling_tube_needs_one_connection_alone(base: KnowledgeBase) -> None:
    asked = loop(
        figures=False,
        tee={"kind": "fitting", "is": "fitting/tee-g-1-4-female"},
        tube={"kind": "reservoir", "is": "reservoir/fill-port-20"},
    )
    asked["runs"] = [*asked["runs"][:-1], run("rad.out", "tee.a"), run("tee.b", "res.in"), run("tee.c", "tube.in")]
    assert FITTING in asked["runs"][-1]["fittings_to"]
    assert errors(base, asked) == set()


def test_sentences_name_cause_and_remedy(base: KnowledgeBase) -> None:
    frozen = answer(base, loop(figures=False) | WATER | {"air_c": -5}).findings[0]
    assert "freezes" in frozen.sentence
    assert "glycol" in (frozen.remedy or "")
