"""Common practice without a source: what anyone who has run a loop takes for granted, as check values.

Nobody publishes these; they are held here because an answer against them would be disbelieved. A habit never outranks
a source, so none of them is a promise about chemistry.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from kb.knowledge_base import KnowledgeBase
from schemas.answers.answers import Finding, PairAnswer, SuitableAnswer
from schemas.answers.loop import LoopAnswer
from schemas.questions.questions import MixQuestion
from schemas.verdict import Verdict

Ask = Callable[..., PairAnswer]
AskLoop = Callable[..., LoopAnswer]
Reported = Callable[[Any, str], Finding]

PREMIX, DISTILLED = "fluid/propylene-glycol-inhibited-premix", "fluid/distilled-water"
USUAL_PARTS = (
    "metal/copper",
    "metal/brass-yellow",
    "metal/nickel-plate-electrolytic",
    "elastomer/epdm",
    "plastic/pom-copolymer",
)


class TestPlatedAndBareBlocks:
    def test_both_are_run_in_inhibited_premix(self, ask: Ask) -> None:
        for surface in ("metal/copper", "metal/nickel-plate-electrolytic", "metal/nickel-plate-electroless"):
            assert ask(surface, PREMIX).verdict is Verdict.COMPATIBLE

    def test_word_for_the_plated_one_is_a_habit_of_low_confidence(self, ask: Ask, reported: Reported) -> None:
        plated, bare = (
            reported(ask(surface, PREMIX), "rule-contact").rules[0]
            for surface in ("metal/nickel-plate-electrolytic", "metal/copper")
        )
        assert (plated.basis, plated.confidence) == ("common-practice", "low")
        assert bare.basis == "published"

    def test_plating_is_no_cure_for_plain_water(self, ask: Ask) -> None:
        """Plating is bought for its looks: in distilled water both are conditional."""
        for surface in ("metal/copper", "metal/nickel-plate-electrolytic"):
            assert ask(surface, DISTILLED).verdict is Verdict.CONDITIONAL


class TestFluids:
    @pytest.fixture(scope="class")
    @staticmethod
    def usual(base: KnowledgeBase) -> SuitableAnswer:
        return base.fluids(USUAL_PARTS, limit=50)

    def test_inhibited_premix_comes_before_plain_water(self, usual: SuitableAnswer) -> None:
        places = {one.id: place for place, one in enumerate(usual.suitable)}
        for water in (DISTILLED, "fluid/deionised-water", "fluid/tap-water-hard"):
            assert places[PREMIX] < places[water]

    def test_distilled_water_comes_before_tap_water(self, usual: SuitableAnswer) -> None:
        places = {one.id: place for place, one in enumerate(usual.suitable)}
        assert places[DISTILLED] < places["fluid/tap-water-hard"]

    def test_glycol_without_inhibitor_is_no_coolant(self, usual: SuitableAnswer) -> None:
        verdicts = {one.id: one.verdict for one in usual.suitable}
        assert verdicts["fluid/propylene-glycol-uninhibited-25"] is Verdict.INCOMPATIBLE

    def test_thin_glycol_is_worse_than_none(self, usual: SuitableAnswer) -> None:
        places = {one.id: place for place, one in enumerate(usual.suitable)}
        assert places["fluid/propylene-glycol-dilute"] > places[PREMIX]

    def test_opaque_coolant_settles(self, ask_loop: AskLoop, reported: Reported) -> None:
        block = {"base-plate": "metal/copper", "plating": None, "top": None, "seal": None}
        settling = reported(ask_loop({"block": block}, "fluid/opaque-premix"), "rule-settling")
        assert (settling.verdict, settling.place) == (Verdict.CONDITIONAL, "fluid/opaque-premix")

    def test_opaque_coolant_is_not_topped_up_with_anything(self, ask: Ask) -> None:
        for other in (DISTILLED, PREMIX, "fluid/ethylene-glycol-inhibited-premix", "fluid/dyed-premix"):
            assert ask("fluid/opaque-premix", other).verdict is Verdict.CONDITIONAL

    def test_two_coolants_are_not_simply_mixed(self, ask: Ask) -> None:
        assert ask(PREMIX, "fluid/ethylene-glycol-inhibited-premix").verdict is Verdict.CONDITIONAL

    def test_oil_stays_out_of_a_water_loop(self, ask: Ask) -> None:
        for other in (DISTILLED, PREMIX):
            assert ask("fluid/mineral-oil", other).verdict is Verdict.INCOMPATIBLE


class TestCleaning:
    def test_alcohol_is_for_metal_and_not_for_acrylic(self, ask: Ask) -> None:
        assert ask("metal/copper", "fluid/isopropyl-alcohol").verdict is Verdict.COMPATIBLE
        assert ask("plastic/pmma", "fluid/isopropyl-alcohol").verdict is Verdict.INCOMPATIBLE

    def test_acid_rinse_is_for_copper_only_and_only_briefly(self, ask: Ask) -> None:
        assert ask("metal/copper", "fluid/citric-acid").verdict is Verdict.CONDITIONAL
        for metal in ("metal/brass-yellow", "metal/aluminium-6061", "metal/zinc"):
            assert ask(metal, "fluid/citric-acid").verdict is Verdict.INCOMPATIBLE

    def test_acetone_dissolves_clear_plastic(self, ask: Ask) -> None:
        for plastic in ("plastic/pmma", "plastic/petg", "plastic/pc", "plastic/abs"):
            assert ask(plastic, "fluid/acetone").verdict is Verdict.INCOMPATIBLE

    def test_cleaner_left_in_is_a_fault(self, ask: Ask) -> None:
        assert ask("fluid/isopropyl-alcohol", PREMIX).verdict.severity >= Verdict.CONDITIONAL.severity


class TestSeals:
    def test_epdm_is_the_first_choice_for_coolant(self, base: KnowledgeBase) -> None:
        answer = base.materials(PREMIX, family="family/elastomer")
        assert answer.suitable[0].id == "elastomer/epdm"

    def test_soldered_copper_radiator_is_borne_in_inhibited_coolant(self, ask: Ask) -> None:
        assert ask("metal/solder-tin-lead", "metal/copper", inhibited=1).verdict is Verdict.COMPATIBLE


class TestMixing:
    @pytest.mark.parametrize(("water", "verdict"), [(3.0, Verdict.COMPATIBLE), (4.0, Verdict.CONDITIONAL)])
    def test_one_part_concentrate_takes_three_of_water_and_not_four(
        self, base: KnowledgeBase, water: float, verdict: Verdict
    ) -> None:
        question = MixQuestion(glycol="propylene-glycol", concentrate_parts=1.0, water_parts=water)
        assert base.mix(**dict(question)).findings[0].verdict is verdict

    def test_undiluted_concentrate_is_not_for_running(self, base: KnowledgeBase) -> None:
        question = MixQuestion(glycol="ethylene-glycol", concentrate_parts=1.0, water_parts=0.0)
        assert base.mix(**dict(question)).findings[0].verdict is Verdict.CONDITIONAL
