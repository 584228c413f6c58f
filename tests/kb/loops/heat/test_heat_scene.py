"""A processor of 125 W and a card of 300 W: what one radiator does, what is short, and what would help."""

from __future__ import annotations

import pytest
from heat_asking import broken, delta_t, fans, judged, radiator, reported, ring

from kb.knowledge_base import KnowledgeBase
from schemas.verdict import Verdict


def test_a_240_with_slow_fans_falls_short_in_numbers_and_shows_three_ways_out(base: KnowledgeBase) -> None:
    answer = reported(base, ring(rad=radiator("radiator/240x30-low")))
    assert answer.verdict is Verdict.INCOMPATIBLE
    assert answer.coolant_to_air_delta_t_k is not None and answer.target_k == 15
    assert answer.shortfall_k is not None and answer.shortfall_w is not None
    assert answer.shortfall_k == pytest.approx(answer.coolant_to_air_delta_t_k.likely - 15)
    assert answer.shortfall_k > 20
    assert 250 < answer.shortfall_w < 400
    reaching = [option for option in answer.options if option.reaches]
    assert len(reaching) >= 3
    assert all(option.coolant_to_air_delta_t_k <= 15 for option in reaching)
    assert len({option.kind for option in reaching}) >= 3
    assert answer.options[: len(reaching)] == tuple(reaching)


def test_a_480_with_slow_fans_stays_within_service_but_not_within_the_usual_difference(base: KnowledgeBase) -> None:
    performance = judged(base, ring())
    assert performance.uncertainty is not None and performance.solved is not None
    assert performance.uncertainty.likely_k == pytest.approx(25.5, abs=2.0)
    assert "limit/coolant-to-air-delta-t" in broken(performance.findings)
    assert "limit/coolant-temperature-service" not in broken(performance.findings)
    assert performance.solved.hottest_c is not None and performance.solved.hottest_c < 60


def test_a_480_with_faster_fans_is_fine(base: KnowledgeBase) -> None:
    question = ring(rad=radiator(fans=fans("fan/balanced-120", 1300))) | {"conditions": {"coolant-temperature": 45}}
    answer = reported(base, question)
    assert answer.verdict is Verdict.COMPATIBLE
    assert answer.coolant_to_air_delta_t_k is not None and answer.coolant_to_air_delta_t_k.likely < 15
    assert answer.options == ()
    assert answer.shortfall_k is None


def test_every_way_out_holds_when_asked_as_a_loop_of_its_own(base: KnowledgeBase) -> None:
    options = {option.parts: option for option in judged(base, ring()).options if option.kind == "other-fans"}
    assert options
    for (fan,), option in options.items():
        assert option.speeds_rpm is not None
        again = delta_t(base, ring(rad=radiator(fans=fans(fan, option.speeds_rpm["rad"]))))
        assert again == pytest.approx(option.delta_t_k, abs=0.05)


def test_a_larger_radiator_holds_when_asked_as_a_loop_of_its_own(base: KnowledgeBase) -> None:
    options = judged(base, ring(rad=radiator("radiator/240x30-low"))).options
    larger = next(option for option in options if option.kind == "larger-radiator")
    again = delta_t(base, ring(rad=radiator(larger.parts[0])))
    assert again == pytest.approx(larger.delta_t_k, abs=0.2)
    second = next(option for option in options if option.kind == "second-radiator")
    two = ring(
        ("res", "pump", "cpu", "gpu", "rad", "more"),
        rad=radiator("radiator/240x30-low"),
        more=radiator("radiator/240x30-low"),
    )
    assert delta_t(base, two) == pytest.approx(second.delta_t_k, abs=0.3)


def test_less_heat_is_as_much_less_as_is_reported(base: KnowledgeBase) -> None:
    performance = judged(base, ring())
    assert performance.heat_at_target_w is not None
    share = performance.heat_at_target_w / 425
    cooler = ring(cpu={"heat_w": 125 * share}, gpu={"heat_w": 300 * share})
    assert delta_t(base, cooler) == pytest.approx(15, abs=0.1)


def test_a_stated_wish_is_judged_and_no_way_out_is_shown_when_it_is_met(base: KnowledgeBase) -> None:
    missed = judged(base, ring() | {"target": {"coolant_to_air_delta_t_k": 10, "sound_level_db": 12}})
    assert {"limit/coolant-to-air-delta-t-over-target", "limit/sound-over-target"} <= broken(missed.findings)
    met = judged(base, ring() | {"target": {"coolant_to_air_delta_t_k": 30, "sound_level_db": 40}})
    assert not {"limit/coolant-to-air-delta-t-over-target", "limit/sound-over-target"} & broken(met.findings)
    assert met.options == ()


def test_rule_of_the_trade_and_computation_part_ways_and_it_is_said(base: KnowledgeBase) -> None:
    rule = reported(base, ring()).rule_of_thumb
    assert rule is not None
    assert (rule.asked_mm, rule.present_mm, rule.holds, rule.agrees) == (240, 480, True, False)
    assert "disagrees" in rule.sentence
    fast = ring(cpu={"overclocked": True}, gpu={"overclocked": True})
    beyond = reported(base, fast).rule_of_thumb
    assert beyond is not None
    assert (beyond.asked_mm, beyond.holds) == (480, True)
    short = reported(base, ring(cpu={"overclocked": True}, rad=radiator("radiator/240x30-low"))).rule_of_thumb
    assert short is not None
    assert (short.asked_mm, short.holds, short.agrees) == (360, False, True)


def test_a_radiator_of_140_mm_fans_counts_by_their_size(base: KnowledgeBase) -> None:
    rule = reported(base, ring(rad=radiator("radiator/420x30-low", fans=fans("fan/low-speed-140", 700)))).rule_of_thumb
    assert rule is not None
    assert rule.present_mm == 420
