"""Every limit of air and heat can be broken by a question, and what is missing is named instead of guessed."""

from __future__ import annotations

from typing import Any

import pytest
from heat_asking import broken, codes, delta_t, fans, judged, radiator, reported, ring

from kb.knowledge_base import KnowledgeBase
from kb.loops.heat.state import COLDEST_C, HOTTEST_C
from kb.store.faults import QuestionError
from schemas.tables.limits import Limit
from schemas.verdict import Verdict

DRY: dict[str, Any] = ring(("res", "pump", "gpu", "rad"))
NO_RADIATOR: dict[str, Any] = ring(("res", "pump", "cpu", "gpu"), rad=None)
SMALL = radiator("radiator/240x30-low")

BREAKING: dict[str, dict[str, Any]] = {
    "limit/coolant-to-air-delta-t": ring(),
    "limit/coolant-to-air-delta-t-over-target": ring() | {"target": {"coolant_to_air_delta_t_k": 5}},
    "limit/coolant-above-stated": ring(),
    "limit/coolant-temperature-high": ring(rad=radiator("radiator/360x30-low")),
    "limit/coolant-temperature-service": ring(rad=SMALL),
    "limit/coolant-temperature-warm": ring(),
    "limit/fan-speed-floor": ring(rad=radiator(fans=fans(rpm=200))),
    "limit/fan-speed-share": ring(rad=radiator(fans=fans(rpm=1500))),
    "limit/heat-without-flow": DRY,
    "limit/heat-without-radiator": NO_RADIATOR,
    "limit/sound-over-target": ring() | {"target": {"sound_level_db": 5}},
    "limit/surface-temperature": ring(rad=SMALL),
    "limit/surface-temperature-beyond": ring(
        rad=SMALL, cpu={"kind": "block", "is": "block/cpu-micro-fin", "heat_w": 700}
    ),
}


@pytest.mark.parametrize("limit", BREAKING)
def test_a_loop_that_breaks_a_limit_is_reported_so_by_it(base: KnowledgeBase, limit: str) -> None:
    performance = judged(base, BREAKING[limit])
    assert limit in broken(performance.findings)
    assert reported(base, BREAKING[limit]).verdict is not Verdict.COMPATIBLE


def test_every_limit_of_heat_is_broken_here(base: KnowledgeBase) -> None:
    quantities = {base.snapshot.get(Limit, limit).quantity_id for limit in BREAKING}
    assert {row.id for row in base.snapshot.active(Limit) if row.quantity_id in quantities} == set(BREAKING)


PORTS = {"in": "port/g-1-4-loop", "out": "port/g-1-4-loop"}


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"rad": {"ports": PORTS, "is": None, "fans": None}}, "radiator-unknown"),
        ({"rad": {"fins_per_inch": 3.0}}, "radiator-out-of-range"),
        ({"rad": {"fans": None}}, "fans-unknown"),
        ({"cpu": {"heat_w": None}}, "heat-unknown"),
        ({"cpu": {"is": None, "ports": PORTS}}, "thermal-resistance-unknown"),
    ],
)
def test_what_is_not_known_is_named_and_nothing_is_guessed(
    base: KnowledgeBase, changes: dict[str, Any], code: str
) -> None:
    performance = judged(base, ring(**changes))
    assert code in codes(performance.findings)
    assert reported(base, ring(**changes)).verdict in (Verdict.UNKNOWN, Verdict.INCOMPATIBLE)


@pytest.mark.parametrize(
    ("rad", "field"),
    [
        ({"fans": fans(count=5)}, "parts.rad.fans.count"),
        ({"fans": fans(stopped=5)}, "parts.rad.fans.stopped"),
        ({"fans": fans("fan/none-such")}, "parts.rad.fans.is"),
        ({"air_from": {"rad": 50}}, "parts.rad.air_from"),
        ({"thickness_mm": 5}, "parts.rad.thickness_mm"),
    ],
)
def test_what_cannot_be_is_refused_with_the_field(base: KnowledgeBase, rad: dict[str, Any], field: str) -> None:
    with pytest.raises(QuestionError) as refused:
        judged(base, ring(rad=rad))
    assert refused.value.field == field


def test_air_that_only_goes_round_in_circles_is_refused(base: KnowledgeBase) -> None:
    order = ("res", "pump", "cpu", "gpu", "rad", "top")
    with pytest.raises(QuestionError, match="circles"):
        judged(base, ring(order, rad={"air_from": {"top": 100}}, top=radiator(air_from={"rad": 100})))


def test_figures_of_the_asker_beat_the_archetype(base: KnowledgeBase) -> None:
    plain = reported(base, ring())
    given = reported(base, ring(cpu={"thermal_resistance_k_per_w": 0.2, "drop": {"flow_l_min": 4, "drop_kpa": 9}}))
    assert given.sources[0].known_by == "parts.cpu.thermal_resistance_k_per_w"
    surface, before = given.sources[0].surface_c, plain.sources[0].surface_c
    assert surface is not None and before is not None and surface.likely > before.likely + 10
    louder = reported(base, ring(rad=radiator(fans=fans(sound_level_dba=30))))
    assert louder.sound_level_db is not None and plain.sound_level_db is not None
    assert louder.sound_level_db - plain.sound_level_db == pytest.approx(14)
    windier = delta_t(base, ring(rad=radiator(fans=fans(flow_max_m3_per_h=120, pressure_max_pa=20))))
    assert windier < delta_t(base, ring())
    denser = delta_t(base, ring(rad=radiator(fins_per_inch=20)))
    assert denser != pytest.approx(delta_t(base, ring()), abs=1.0)


def test_push_and_pull_is_cooler_and_louder(base: KnowledgeBase) -> None:
    push, both = (reported(base, ring(rad=radiator(fans=fans(arrangement=one)))) for one in ("push", "push-pull"))
    assert push.coolant_to_air_delta_t_k is not None and both.coolant_to_air_delta_t_k is not None
    assert both.coolant_to_air_delta_t_k.likely < push.coolant_to_air_delta_t_k.likely
    assert push.sound_level_db is not None and both.sound_level_db is not None
    assert both.sound_level_db - push.sound_level_db == pytest.approx(3.01, abs=0.01)


def test_a_loop_without_heat_is_no_warmer_than_its_air_and_its_pump(base: KnowledgeBase) -> None:
    answer = reported(base, ring(cpu={"heat_w": 0}, gpu={"heat_w": 0}))
    assert answer.coolant_to_air_delta_t_k is not None and answer.coolant_to_air_delta_t_k.likely < 1


@pytest.mark.parametrize(
    ("air_c", "heat_w", "held_c"),
    [(25, 300, None), (50, 2500, HOTTEST_C), (-20, 100, COLDEST_C)],
)
def test_properties_held_at_the_end_of_their_range_are_reported(
    base: KnowledgeBase, air_c: float, heat_w: float, held_c: float | None
) -> None:
    answer = reported(base, {**ring(gpu={"heat_w": heat_w}), "air_c": air_c})
    assert answer.coolant_mean_c is not None
    if held_c is None:
        assert answer.notes == ()
    else:
        [note] = answer.notes
        assert f"comes to {answer.coolant_mean_c:.1f} degC" in note
        assert f"its properties at {held_c:.0f} degC" in note


def test_fans_that_all_stand_still_leave_the_heat_nowhere_to_go(base: KnowledgeBase) -> None:
    performance = judged(base, ring(rad=radiator(fans=fans(rpm=0))))
    assert "limit/heat-without-radiator" in broken(performance.findings)
    assert performance.uncertainty is None


def test_a_dead_pump_leaves_every_block_without_flow(base: KnowledgeBase) -> None:
    performance = judged(base, ring(pump={"speed_percent": 0}))
    assert {one.place for one in performance.findings if one.code == "heat-without-flow"} == {"cpu", "gpu"}
