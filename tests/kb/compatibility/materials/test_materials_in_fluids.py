"""Materials in fluids: what a builder must be told of plastics, rubbers and metals, and on whose word."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from kb.knowledge_base import KnowledgeBase
from kb.store.faults import QuestionError
from schemas.answers.answers import Finding, PairAnswer
from schemas.answers.loop import LoopAnswer
from schemas.level import Judgement
from schemas.verdict import Verdict

Ask = Callable[..., PairAnswer]
Reported = Callable[[Any, str], Finding]
AskLoop = Callable[..., LoopAnswer]

ETHYLENE, PROPYLENE = "fluid/ethylene-glycol-inhibited-premix", "fluid/propylene-glycol-inhibited-premix"
DISTILLED, DEIONISED, OIL = "fluid/distilled-water", "fluid/deionised-water", "fluid/mineral-oil"
COPPER_ALONE = {"block": {"base-plate": "metal/copper", "plating": None, "top": None, "seal": None}}
SOFT_TAP, HARD_TAP = "fluid/tap-water-soft", "fluid/tap-water-hard"


class TestClearPlasticInEthyleneGlycol:
    @pytest.mark.parametrize("plastic", ["plastic/pmma", "plastic/petg"])
    def test_rests_on_a_habit_of_low_confidence_which_is_a_note(
        self, ask: Ask, reported: Reported, plastic: str
    ) -> None:
        answer = ask(plastic, ETHYLENE)
        (rule,) = reported(answer, "rule-contact").rules
        assert (rule.level, rule.basis, rule.confidence) == (Judgement.NOTE, "common-practice", "low")
        stress = [one.id for one in answer.requirements]
        assert answer.verdict is Verdict.CONDITIONAL and stress == ["requirement/stress-relieved"]

    @pytest.mark.parametrize("plastic", ["plastic/pmma", "plastic/petg"])
    def test_stress_is_the_condition_and_is_assumed_unless_denied(
        self, ask: Ask, reported: Reported, plastic: str
    ) -> None:
        stressed = reported(ask(plastic, ETHYLENE), "rule-stress-cracking")
        (condition,) = stressed.rules[0].conditions
        assert (condition.quantity, condition.origin) == ("quantity/part-stress", "assumption/part-stress")
        assert stressed.verdict is Verdict.CONDITIONAL
        relaxed = ask(plastic, ETHYLENE, part_stress=0)
        assert "rule-stress-cracking" not in {one.code for one in relaxed.findings}

    def test_rival_card_that_rates_acrylic_poor_is_reported(self, ask: Ask, reported: Reported) -> None:
        (dispute,) = reported(ask("plastic/pmma", ETHYLENE), "rule-contact").disputes
        assert (dispute.verdict, dispute.source) == (Verdict.INCOMPATIBLE, "source/plastics-resistance-card")

    def test_warm_petg_is_barred_in_any_fluid(self, ask: Ask) -> None:
        assert ask("plastic/petg", ETHYLENE, coolant_temperature=72).verdict is Verdict.INCOMPATIBLE


class TestPolycarbonateAndAlcohol:
    @pytest.mark.parametrize("cleaner", ["fluid/isopropyl-alcohol", "fluid/ethanol", "fluid/methanol"])
    def test_clamped_part_cracks(self, ask: Ask, reported: Reported, cleaner: str) -> None:
        answer = ask("plastic/pc", cleaner)
        assert answer.verdict is Verdict.INCOMPATIBLE
        cracking = reported(answer, "rule-stress-cracking")
        assert cracking.verdict is Verdict.INCOMPATIBLE
        assert cracking.remedy

    def test_free_sheet_may_be_wiped_with_isopropyl_alcohol(self, ask: Ask) -> None:
        assert ask("plastic/pc", "fluid/isopropyl-alcohol", part_stress=0).verdict is Verdict.COMPATIBLE

    def test_note_that_accepts_alcohol_is_reported(self, ask: Ask, reported: Reported) -> None:
        cracking = reported(ask("plastic/pc", "fluid/isopropyl-alcohol"), "rule-stress-cracking")
        assert [one.verdict for one in cracking.disputes] == [Verdict.COMPATIBLE]


class TestPlainPureWater:
    @pytest.mark.parametrize("water", [DISTILLED, DEIONISED, "fluid/demineralised-water"])
    def test_copper_is_conditional_for_aggressive_water_and_growth_is_no_matter_of_copper(
        self, ask: Ask, reported: Reported, water: str
    ) -> None:
        answer = ask("metal/copper", water)
        assert answer.verdict is Verdict.CONDITIONAL
        assert reported(answer, "rule-contact").verdict is Verdict.CONDITIONAL
        assert [one.id for one in answer.requirements] == ["requirement/copper-inhibitor"]
        assert "rule-growth" not in {one.code for one in answer.findings}

    def test_sources_on_both_sides_are_reported(self, ask: Ask, reported: Reported) -> None:
        disputes = reported(ask("metal/copper", DEIONISED), "rule-contact").disputes
        assert {one.verdict for one in disputes} == {Verdict.COMPATIBLE, Verdict.INCOMPATIBLE}

    def test_biocide_quiets_growth_and_nothing_else(self, ask_loop: AskLoop) -> None:
        plain, dosed = (ask_loop(COPPER_ALONE, DISTILLED, biocide_present=one) for one in (0, 1))
        faults = [
            {one.code for one in answer.findings if one.verdict is not Verdict.COMPATIBLE} for answer in (plain, dosed)
        ]
        assert faults[0] - faults[1] == {"rule-growth"}

    @pytest.mark.parametrize(("fluid", "months"), [(DISTILLED, 6), (DEIONISED, 6), (PROPYLENE, 24)])
    def test_usual_interval_of_change_stands_in_the_tables(self, base: KnowledgeBase, fluid: str, months: int) -> None:
        values = base.record(fluid).record.values
        assert values["service_interval_months"] == months

    def test_water_left_in_for_longer_than_its_interval_is_called_aged(
        self, ask_loop: AskLoop, reported: Reported
    ) -> None:
        aged, fresh = (ask_loop(COPPER_ALONE, DISTILLED, months_in_service=months) for months in (7, 6))
        assert reported(aged, "rule-depletion").verdict is Verdict.CONDITIONAL
        assert "rule-depletion" not in {one.code for one in fresh.findings}

    @pytest.mark.parametrize("brass", ["metal/brass-yellow", "metal/brass-free-cutting"])
    def test_zinc_rich_brass_is_barred_after_years(self, ask: Ask, brass: str) -> None:
        assert ask(brass, DISTILLED, months_in_service=36).verdict is Verdict.INCOMPATIBLE
        assert ask(brass, DISTILLED, months_in_service=3).verdict is Verdict.CONDITIONAL

    @pytest.mark.parametrize("steel", ["metal/steel-carbon", "metal/cast-iron"])
    def test_steel_rusts(self, ask: Ask, steel: str) -> None:
        assert ask(steel, DISTILLED).verdict is Verdict.INCOMPATIBLE

    def test_stainless_and_plastic_do_not_corrode(self, ask: Ask) -> None:
        for material in ("metal/stainless-316", "plastic/pom-copolymer", "elastomer/epdm"):
            assert ask(material, DEIONISED, biocide_present=1).verdict.severity <= Verdict.CONDITIONAL.severity


class TestPlasticisedTube:
    @pytest.mark.parametrize("fluid", [DISTILLED, PROPYLENE, ETHYLENE])
    def test_plasticiser_leaches(self, ask: Ask, reported: Reported, fluid: str) -> None:
        assert reported(ask("plastic/pvc-plasticised", fluid), "rule-leaching").judgement is Judgement.NOTE

    def test_tube_made_of_it_is_reported_so(self, ask: Ask, reported: Reported) -> None:
        tube = {"is": "tube/soft-10x16", "material": "plastic/pvc-plasticised"}
        assert reported(ask(tube, PROPYLENE), "rule-leaching").judgement is Judgement.NOTE

    def test_clear_tube_of_unnamed_material_is_unknown(self, ask: Ask) -> None:
        assert ask("tube/soft-10x16", PROPYLENE).verdict is Verdict.UNKNOWN

    def test_it_harms_acrylic_that_it_touches(self, ask: Ask) -> None:
        assert ask("plastic/pvc-plasticised", "plastic/pmma").verdict is Verdict.CONDITIONAL


class TestRubbersAreOpposites:
    def test_epdm_suits_glycol_and_not_oil(self, ask: Ask) -> None:
        assert ask("elastomer/epdm", "fluid/ethylene-glycol-inhibited-40").verdict is Verdict.COMPATIBLE
        assert ask("elastomer/epdm", OIL).verdict is Verdict.INCOMPATIBLE

    def test_nbr_suits_oil_and_swells_in_glycol(self, ask: Ask, reported: Reported) -> None:
        assert reported(ask("elastomer/nbr", OIL), "rule-contact").verdict is Verdict.COMPATIBLE
        glycol = ask("elastomer/nbr", "fluid/ethylene-glycol-inhibited-40")
        assert reported(glycol, "rule-swelling").judgement is Judgement.NOTE


class TestCopperAlloysInWater:
    def test_brass_under_tension_cracks_with_ammonia(self, ask: Ask) -> None:
        assert ask("metal/brass-yellow", "fluid/ammonia-solution").verdict is Verdict.INCOMPATIBLE
        assert ask("metal/brass-yellow", SOFT_TAP, ammonium=21).verdict is Verdict.INCOMPATIBLE

    @pytest.mark.parametrize("ammonium", [2, 20])
    def test_brass_under_tension_may_crack_with_some_ammonia(
        self, ask: Ask, reported: Reported, ammonium: float
    ) -> None:
        found = reported(ask("metal/brass-yellow", SOFT_TAP, ammonium=ammonium), "rule-ammonia")
        assert found.verdict is Verdict.CONDITIONAL

    def test_a_little_ammonium_is_borne(self, ask: Ask, reported: Reported) -> None:
        assert reported(ask("metal/brass-yellow", SOFT_TAP, ammonium=0.5), "rule-ammonia").verdict is Verdict.COMPATIBLE

    @pytest.mark.parametrize(
        ("chloride", "verdict"),
        [(49, Verdict.COMPATIBLE), (50, Verdict.CONDITIONAL), (150, Verdict.CONDITIONAL), (151, Verdict.INCOMPATIBLE)],
    )
    def test_chloride_by_its_steps(self, ask: Ask, reported: Reported, chloride: float, verdict: Verdict) -> None:
        assert reported(ask("metal/brass-yellow", SOFT_TAP, chloride=chloride), "rule-chloride").verdict is verdict

    @pytest.mark.parametrize(
        ("ph", "verdict"),
        [
            (5.9, Verdict.INCOMPATIBLE),
            (6.0, Verdict.CONDITIONAL),
            (8.1, Verdict.CONDITIONAL),
            (8.2, Verdict.COMPATIBLE),
            (9.0, Verdict.COMPATIBLE),
            (9.1, Verdict.CONDITIONAL),
        ],
    )
    def test_acidity_by_its_window(self, ask: Ask, reported: Reported, ph: float, verdict: Verdict) -> None:
        assert reported(ask("metal/copper", SOFT_TAP, ph=ph), "rule-acidity").verdict is verdict

    def test_hard_tap_water_leaves_scale_whatever_it_touches(self, ask_loop: AskLoop, reported: Reported) -> None:
        hard, soft = (ask_loop(COPPER_ALONE, water) for water in (HARD_TAP, SOFT_TAP))
        assert reported(hard, "rule-hardness").verdict is Verdict.INCOMPATIBLE
        assert "rule-hardness" not in {one.code for one in soft.findings if one.verdict is not Verdict.COMPATIBLE}

    def test_hard_tap_water_is_not_to_be_mixed_into_coolant(self, ask: Ask) -> None:
        """The hardness that counts is that of the water, not what a coolant may hold."""
        for order in ((PROPYLENE, HARD_TAP), (HARD_TAP, PROPYLENE)):
            assert ask(*order).verdict is Verdict.CONDITIONAL
        assert ask(PROPYLENE, DISTILLED).verdict is Verdict.COMPATIBLE


class TestWhatNobodyKnows:
    @pytest.mark.parametrize(
        ("one", "other"),
        [("metal/coper", DISTILLED), ("metal/copper", "fluid/destilled-water"), ("plastic/unobtainium", PROPYLENE)],
    )
    def test_what_is_in_no_table_is_refused_with_the_nearest_ids(self, ask: Ask, one: str, other: str) -> None:
        with pytest.raises(QuestionError) as refused:
            ask(one, other)
        assert refused.value.nearest

    @pytest.mark.parametrize("name", ["distilled water", "copper", "unicorn/horn", ""])
    def test_words_that_are_no_id_are_refused(self, base: KnowledgeBase, name: str) -> None:
        with pytest.raises((QuestionError, ValueError)):
            base.pair("metal/copper", name)

    def test_family_that_does_not_exist_is_refused_with_the_nearest(self, base: KnowledgeBase) -> None:
        with pytest.raises(QuestionError) as refused:
            base.materials(DISTILLED, family="family/plastics")
        assert "family/plastic" in refused.value.nearest

    @pytest.mark.parametrize(
        ("material", "fluid"),
        [
            ("plastic/abs", PROPYLENE),
            ("plastic/psu", ETHYLENE),
            ("plastic/pu", PROPYLENE),
            ("metal/solder-tin-silver-copper", PROPYLENE),
        ],
    )
    def test_known_gap_is_unknown_and_says_why(self, ask: Ask, reported: Reported, material: str, fluid: str) -> None:
        answer = ask(material, fluid)
        assert answer.verdict is Verdict.UNKNOWN
        assert reported(answer, "rule-contact").rules[0].source == "source/evidence-gap-search"

    def test_circumstances_alone_never_make_a_pair_compatible(self, ask: Ask) -> None:
        """Solid nickel in glycol: rules speak of share, growth and acid, none of the pair itself."""
        answer = ask("metal/nickel", PROPYLENE)
        assert answer.verdict is Verdict.UNKNOWN


class TestTemperature:
    def test_margin_below_the_service_temperature_is_shown_with_its_inputs(self, ask: Ask, reported: Reported) -> None:
        margin = reported(ask("elastomer/nbr", DISTILLED, coolant_temperature=50), "temperature-margin-lowest")
        assert margin.quantities[0].value == pytest.approx(30)  # 80 degC in hot water for long
        assert margin.verdict is Verdict.COMPATIBLE

    @pytest.mark.parametrize(
        ("temperature", "code", "verdict"),
        [
            (80, "temperature-margin-lowest", Verdict.COMPATIBLE),
            (80.1, "temperature-margin", Verdict.INCOMPATIBLE),
        ],
    )
    def test_margin_is_met_exactly_at_the_service_temperature(
        self, ask: Ask, reported: Reported, temperature: float, code: str, verdict: Verdict
    ) -> None:
        margin = reported(ask("elastomer/nbr", DISTILLED, coolant_temperature=temperature), code)
        assert margin.verdict is verdict

    def test_assumed_temperature_is_named_as_an_assumption(self, ask: Ask, reported: Reported) -> None:
        margin = reported(ask("elastomer/nbr", DISTILLED), "temperature-margin-lowest")
        assert "assumption/coolant-temperature" in {fact.row for one in margin.quantities for fact in one.inputs}

    def test_figure_for_wet_service_counts_in_coolant_and_the_dry_one_in_oil(
        self, ask: Ask, reported: Reported
    ) -> None:
        margins = [
            reported(ask("elastomer/nbr", fluid, coolant_temperature=60), "temperature-margin-lowest")
            .quantities[0]
            .value
            for fluid in (PROPYLENE, OIL)
        ]
        assert margins == pytest.approx(
            [20, 40]
        )  # 80 degC in hot water; dry 125 and 100 degC, of which the lower counts
