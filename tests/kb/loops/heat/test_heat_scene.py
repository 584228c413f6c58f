"""A processor of 125 W and a card of 300 W: what one radiator does, what is short, and what would help."""

from __future__ import annotations

import pytest
from heat_asking import broken, fans, judged, over_air, radiator, ring, told

from kb.knowledge_base import KnowledgeBase
from schemas.verdict import Verdict


def test_a_240_with_slow_fans_falls_short_in_numbers_and_shows_three_ways_out(base: KnowledgeBase) -> None:
    answer = told(base, ring(rad=radiator("radiator/240x30-low")))
    assert answer.verdict is Verdict.INCOMPATIBLE
    assert answer.coolant_over_air_k is not None and answer.wanted_k == 15
    assert answer.shortfall_k is not None and answer.shortfall_w is not None
    assert answer.shortfall_k == pytest.approx(answer.coolant_over_air_k.likely - 15)
    assert answer.shortfall_k > 20
    assert 250 < answer.shortfall_w < 400
    reaching = [way for way in answer.ways_out if way.reaches]
    assert len(reaching) >= 3
    assert all(way.coolant_over_air_k <= 15 for way in reaching)
    assert len({way.way for way in reaching}) >= 3
    assert answer.ways_out[: len(reaching)] == tuple(reaching)


def test_a_480_with_slow_fans_stays_within_service_but_not_within_the_usual_difference(base: KnowledgeBase) -> None:
    duty = judged(base, ring())
    assert duty.band is not None and duty.solved is not None
    assert duty.band.likely_k == pytest.approx(25.5, abs=2.0)
    assert "limit/coolant-over-air" in broken(duty.findings)
    assert "limit/coolant-temperature-service" not in broken(duty.findings)
    assert duty.solved.hottest_c is not None and duty.solved.hottest_c < 60


def test_a_480_with_faster_fans_is_fine(base: KnowledgeBase) -> None:
    question = ring(rad=radiator(fans=fans("fan/balanced-120", 1300))) | {"conditions": {"coolant-temperature": 45}}
    answer = told(base, question)
    assert answer.verdict is Verdict.COMPATIBLE
    assert answer.coolant_over_air_k is not None and answer.coolant_over_air_k.likely < 15
    assert answer.ways_out == ()
    assert answer.shortfall_k is None


def test_every_way_out_holds_when_asked_as_a_loop_of_its_own(base: KnowledgeBase) -> None:
    ways = {way.parts: way for way in judged(base, ring()).ways if way.way == "other-fans"}
    assert ways
    for (fan,), way in ways.items():
        assert way.speeds_rpm is not None
        again = over_air(base, ring(rad=radiator(fans=fans(fan, way.speeds_rpm["rad"]))))
        assert again == pytest.approx(way.over_air_k, abs=0.05)


def test_a_larger_radiator_holds_when_asked_as_a_loop_of_its_own(base: KnowledgeBase) -> None:
    ways = judged(base, ring(rad=radiator("radiator/240x30-low"))).ways
    larger = next(way for way in ways if way.way == "larger-radiator")
    again = over_air(base, ring(rad=radiator(larger.parts[0])))
    assert again == pytest.approx(larger.over_air_k, abs=0.2)
    second = next(way for way in ways if way.way == "second-radiator")
    two = ring(
        ("res", "pump", "cpu", "gpu", "rad", "more"),
        rad=radiator("radiator/240x30-low"),
        more=radiator("radiator/240x30-low"),
    )
    assert over_air(base, two) == pytest.approx(second.over_air_k, abs=0.3)


def test_less_heat_is_as_much_less_as_is_told(base: KnowledgeBase) -> None:
    duty = judged(base, ring())
    assert duty.heat_at_wanted_w is not None
    share = duty.heat_at_wanted_w / 425
    cooler = ring(cpu={"heat_w": 125 * share}, gpu={"heat_w": 300 * share})
    assert over_air(base, cooler) == pytest.approx(15, abs=0.1)


def test_a_stated_wish_is_judged_and_no_way_out_is_shown_when_it_is_met(base: KnowledgeBase) -> None:
    missed = judged(base, ring() | {"wanted": {"coolant_over_air_k": 10, "sound_level_db": 12}})
    assert {"limit/coolant-over-air-wanted", "limit/sound-over-wanted"} <= broken(missed.findings)
    met = judged(base, ring() | {"wanted": {"coolant_over_air_k": 30, "sound_level_db": 40}})
    assert not {"limit/coolant-over-air-wanted", "limit/sound-over-wanted"} & broken(met.findings)
    assert met.ways == ()


def test_rule_of_the_trade_and_computation_part_ways_and_it_is_said(base: KnowledgeBase) -> None:
    rule = told(base, ring()).trade_rule
    assert rule is not None
    assert (rule.asked_mm, rule.present_mm, rule.holds, rule.agrees) == (240, 480, True, False)
    assert "parts ways" in rule.sentence
    fast = ring(cpu={"overclocked": True}, gpu={"overclocked": True})
    beyond = told(base, fast).trade_rule
    assert beyond is not None
    assert (beyond.asked_mm, beyond.holds) == (480, True)
    short = told(base, ring(cpu={"overclocked": True}, rad=radiator("radiator/240x30-low"))).trade_rule
    assert short is not None
    assert (short.asked_mm, short.holds, short.agrees) == (360, False, True)


def test_a_radiator_of_140_mm_fans_counts_by_their_size(base: KnowledgeBase) -> None:
    rule = told(base, ring(rad=radiator("radiator/420x30-low", fans=fans("fan/low-speed-140", 700)))).trade_rule
    assert rule is not None
    assert rule.present_mm == 420
