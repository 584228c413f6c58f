"""More of a good thing never harms, and what matters little is shown to matter little."""

from __future__ import annotations

import pytest
from heat_asking import delta_t, fans, judged, radiator, reported, ring

from kb.knowledge_base import KnowledgeBase
from kb.loops.heat.comparisons import Comparison


def compared(base: KnowledgeBase, subject: str, **changes: dict[str, object]) -> Comparison:
    return next(one for one in judged(base, ring(**changes)).comparisons if one.subject == subject)


def test_faster_fans_never_leave_the_coolant_warmer(base: KnowledgeBase) -> None:
    found = [delta_t(base, ring(rad=radiator(fans=fans("fan/balanced-120", rpm)))) for rpm in range(500, 1501, 200)]
    assert found == sorted(found, reverse=True)


def test_more_heat_never_leaves_the_coolant_cooler(base: KnowledgeBase) -> None:
    found = [delta_t(base, ring(gpu={"heat_w": heat})) for heat in (0, 50, 150, 300, 450)]
    assert found == sorted(found)


def test_more_radiator_never_leaves_the_coolant_warmer(base: KnowledgeBase) -> None:
    found = [delta_t(base, ring(rad=radiator(f"radiator/{length}x30-low"))) for length in (120, 240, 360, 480)]
    assert found == sorted(found, reverse=True)


def test_a_kelvin_of_air_shifts_everything_by_about_a_kelvin(base: KnowledgeBase) -> None:
    """Warmer air is thinner by a third of a percent, so that the 25 K over it grow by less than a tenth."""
    cool, warm = (reported(base, ring() | {"air_c": air}) for air in (24, 25))
    for one, other in zip(cool.points, warm.points, strict=True):
        assert one.place == other.place
        assert 1.0 < other.temperature_c - one.temperature_c < 1.1


def test_coolant_is_reported_at_every_port_in_the_order_of_the_flow(base: KnowledgeBase) -> None:
    answer = reported(base, ring())
    places = [point.place for point in answer.points]
    assert places[:8] == [f"{part}.{port}" for part in ("pump", "cpu", "gpu", "rad") for port in ("in", "out")]
    heat = {point.place: point.temperature_c for point in answer.points}
    assert heat["cpu.in"] < heat["cpu.out"] == pytest.approx(heat["gpu.in"]) and heat["gpu.in"] < heat["gpu.out"]
    assert heat["gpu.out"] == pytest.approx(heat["rad.in"]) and heat["rad.in"] > heat["rad.out"]
    assert abs(answer.heat_balance_error or 0.0) < 1e-9


def test_parallel_blocks_share_the_flow_and_their_coolant_mixes(base: KnowledgeBase) -> None:
    question = ring(
        split={"kind": "fitting", "is": "fitting/y-g-1-4-female"},
        join={"kind": "fitting", "is": "fitting/y-g-1-4-female"},
    )
    ways = (
        *(("res.out", "pump.in"), ("pump.out", "split.a"), ("split.b", "cpu.in"), ("split.c", "gpu.in")),
        *(("cpu.out", "join.b"), ("gpu.out", "join.c"), ("join.a", "rad.in"), ("rad.out", "res.in")),
    )
    question["runs"] = [{"from": one, "to": two, "tube": "tube/soft-3-8x5-8", "length_mm": 300} for one, two in ways]
    answer = reported(base, question)
    flows = {source.name: source.flow_l_min for source in answer.sources}
    outs = {source.name: source.coolant_out_c for source in answer.sources}
    mixed = sum(flows[name] * outs[name] for name in flows) / sum(flows.values())
    assert answer.radiators[0].coolant_in_c == pytest.approx(mixed, abs=1e-6)
    assert answer.radiators[0].coolant_flow_l_min == pytest.approx(sum(flows.values()))


def test_half_the_flow_changes_parts_little_and_says_how_much(base: KnowledgeBase) -> None:
    half = compared(base, "half-flow").cases[0]
    assert 0 < half.change_k < 2
    assert half.part_change_k is not None and 0 < half.part_change_k < 5


def test_order_changes_coolant_by_a_degree_or_two(base: KnowledgeBase) -> None:
    cases = compared(base, "order").cases
    changes = [abs(case.part_change_k or 0.0) for case in cases]
    assert 0.1 < max(changes) < 2


def test_glycol_costs_a_little_and_its_parts_add_up(base: KnowledgeBase) -> None:
    water, quarter, two_fifths = compared(base, "glycol").cases
    assert water.delta_t_k < quarter.delta_t_k < two_fifths.delta_t_k < water.delta_t_k + 3
    for case in (quarter, two_fifths):
        assert set(case.causes) == {"flow", "film", "capacity"}
        assert sum(case.causes.values()) == pytest.approx(case.delta_t_k - water.delta_t_k, abs=1e-9)
    asked = delta_t(base, ring() | {"fluid": "fluid/propylene-glycol-inhibited-premix"})
    assert asked > water.delta_t_k


def test_fin_densities_cross_where_it_is_reported(base: KnowledgeBase) -> None:
    found = compared(
        base, "fin-density", rad=radiator("radiator/240x30-low", fans=fans("fan/static-pressure-120", 1000))
    )
    assert found.crossover_rpm is not None and 500 < found.crossover_rpm < 2000

    def dense_gains(rpm: float) -> float:
        setup = fans("fan/static-pressure-120", rpm)
        open_, dense = (
            delta_t(base, ring(rad=radiator(f"radiator/240x30-{one}", fans=setup))) for one in ("low", "high")
        )
        return open_ - dense

    assert dense_gains(found.crossover_rpm - 150) < 0 < dense_gains(found.crossover_rpm + 150)


def test_thicker_is_not_always_better(base: KnowledgeBase) -> None:
    slow = compared(base, "thickness", rad=radiator("radiator/240x30-low"))
    assert slow.cases[0].change_k > 0
    strong = compared(
        base, "thickness", rad=radiator("radiator/240x30-low", fans=fans("fan/static-pressure-120", 2000))
    )
    assert strong.cases[0].change_k < 0


def test_the_band_holds_the_likely_value_and_names_its_causes(base: KnowledgeBase) -> None:
    answer = reported(base, ring())
    band = answer.coolant_to_air_delta_t_k
    assert band is not None and 0 < band.low < band.likely < band.high
    assert {"speed and curve of the fans", "how much of the core the fans blow through"} <= {
        one.cause for one in answer.uncertainty_causes
    }
    rise = sum(one.raises_k**2 for one in answer.uncertainty_causes) ** 0.5
    assert band.high - band.likely == pytest.approx(rise)
    for one in answer.radiators:
        assert one.conductance_w_per_k.low < one.conductance_w_per_k.likely < one.conductance_w_per_k.high
    for source in answer.sources:
        assert source.surface_c is not None and source.surface_c.low < source.surface_c.likely < source.surface_c.high


def test_a_full_cover_reports_its_stages(base: KnowledgeBase) -> None:
    card = next(source for source in reported(base, ring()).sources if source.name == "gpu")
    assert [stage.name for stage in card.stages] == ["core", "memory", "vrm"]
    assert sum(stage.heat_w for stage in card.stages) == pytest.approx(300)


def test_failures_of_pump_fan_and_filter_are_reported(base: KnowledgeBase) -> None:
    dusty = radiator(obstacles=[{"kind": "filter", "open_share_percent": 50}])
    answer = reported(base, ring(rad=dusty))
    found = {one.what: one for one in answer.failure_cases}
    assert found["pump-dead"].coolant_to_air_delta_t_k is None
    assert (found["fan-stopped"].change_k or 0) > 0
    assert (found["filter-clogged"].change_k or 0) > 0
    assert "assumption/filter-open-left" in {one.row for one in answer.assumed}
    clean = delta_t(base, ring())
    assert answer.coolant_to_air_delta_t_k is not None and answer.coolant_to_air_delta_t_k.likely > clean


def test_one_dead_pump_of_two_leaves_the_loop_running(base: KnowledgeBase) -> None:
    question = ring(("res", "pump", "more", "cpu", "gpu", "rad"), more={"kind": "pump", "is": "pump/compact-12-v"})
    dead = [one for one in reported(base, question).failure_cases if one.what == "pump-dead"]
    assert len(dead) == 2
    assert all(one.coolant_to_air_delta_t_k is not None and (one.change_k or 0) < 3 for one in dead)


def test_exhaust_of_one_radiator_warms_the_next(base: KnowledgeBase) -> None:
    order = ("res", "pump", "cpu", "gpu", "rad", "top")
    fresh = ring(order, top=radiator("radiator/240x30-low"))
    fed = ring(order, top=radiator("radiator/240x30-low", air_from={"rad": 60}))
    one, other = reported(base, fresh), reported(base, fed)
    top = next(each for each in other.radiators if each.name == "top")
    rad = next(each for each in other.radiators if each.name == "rad")
    assert top.air_in_c == pytest.approx(0.6 * rad.air_out_c + 0.4 * 25, abs=1e-6)
    assert one.coolant_to_air_delta_t_k is not None and other.coolant_to_air_delta_t_k is not None
    assert other.coolant_to_air_delta_t_k.likely > one.coolant_to_air_delta_t_k.likely
