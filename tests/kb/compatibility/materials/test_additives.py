"""Additives: with materials, with the fluid they are in, and with one another."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from kb.knowledge_base import KnowledgeBase
from kb.store.faults import QuestionError
from schemas.answers.answers import Finding, PairAnswer
from schemas.answers.loop import LoopAnswer
from schemas.questions.questions import SuitableFluidsQuestion
from schemas.verdict import Verdict

Ask = Callable[..., PairAnswer]
AskLoop = Callable[..., LoopAnswer]
ALUMINIUM_FITTING = {"is": "fitting/barb-10-g-1-4", "materials": {"body": "metal/aluminium-6061", "plating": None}}
Reported = Callable[[Any, str], Finding]

ALUMINIUM, NICKEL_PLATE = "metal/aluminium-6061", "metal/nickel-plate-electrolytic"


def dosed(fluid: str, *additives: str, **properties: float) -> dict[str, Any]:
    return {
        "kind": "fluid",
        "is": f"fluid/{fluid}",
        "additives": [f"additive/{one}" for one in additives],
        "properties": {name.replace("_", "-"): value for name, value in properties.items()},
    }


class TestMetalBiocides:
    @pytest.mark.parametrize("biocide", ["additive/silver-ion", "additive/silver-coil", "additive/copper-sulfate"])
    def test_plating_out_on_aluminium_is_called_incompatible(self, ask: Ask, reported: Reported, biocide: str) -> None:
        answer = ask(biocide, ALUMINIUM)
        assert reported(answer, "rule-plating").verdict is answer.verdict is Verdict.INCOMPATIBLE
        assert reported(answer, "rule-plating").remedy

    @pytest.mark.parametrize("nickel", [NICKEL_PLATE, "metal/nickel-plate-electroless", "metal/nickel"])
    def test_silver_on_nickel_is_called_out(self, ask: Ask, reported: Reported, nickel: str) -> None:
        assert reported(ask("additive/silver-ion", nickel), "rule-plating").verdict is Verdict.CONDITIONAL

    @pytest.mark.parametrize("nickel", [NICKEL_PLATE, "metal/nickel"])
    def test_copper_salt_on_nickel_is_unknown_and_says_that_nothing_was_measured(
        self, ask: Ask, reported: Reported, nickel: str
    ) -> None:
        answer = ask("additive/copper-sulfate", nickel)
        assert reported(answer, "rule-plating").verdict is answer.verdict is Verdict.UNKNOWN

    @pytest.mark.parametrize(
        ("chloride", "verdict"), [(19, None), (20, Verdict.CONDITIONAL), (250, Verdict.CONDITIONAL)]
    )
    def test_chloride_takes_silver_out(self, ask: Ask, chloride: float, verdict: Verdict | None) -> None:
        answer = ask("additive/silver-ion", "fluid/distilled-water", chloride=chloride)
        found = [reported.verdict for reported in answer.findings if reported.code == "rule-chloride"]
        assert found == ([verdict] if verdict else [])


class TestInTheirFluid:
    @pytest.mark.parametrize("part", ["metal/aluminium-6061", ALUMINIUM_FITTING])
    def test_additives_of_the_fluid_count_for_materials_and_for_parts_alike(self, ask: Ask, part: Any) -> None:
        answer = ask(part, dosed("distilled-water", "silver-ion"))
        places = [reported.place for reported in answer.findings]
        assert any(place.endswith("with additive/silver-ion") for place in places), places

    def test_additive_that_clashes_with_its_own_fluid_is_found_in_a_pair(self, ask: Ask) -> None:
        answer = ask("metal/copper", dosed("tap-water-hard", "silicate", hardness=300))
        assert answer.verdict is Verdict.INCOMPATIBLE
        assert any("additive/silicate with" in reported.place for reported in answer.findings)

    def test_additives_that_clash_with_one_another_are_found_in_a_pair(self, ask: Ask) -> None:
        answer = ask("elastomer/epdm", dosed("distilled-water", "copper-sulfate", "benzotriazole"))
        assert answer.verdict is Verdict.INCOMPATIBLE

    @pytest.mark.parametrize(("ph", "expected"), [(8.3, True), (9.5, False)])
    def test_stated_acidity_of_the_fluid_decides_rules_about_its_additives(
        self, ask: Ask, ph: float, expected: bool
    ) -> None:
        answer = ask("metal/nickel", dosed("water-inhibited", "phosphate", ph=ph))
        of_phosphate = [one for one in answer.findings if "additive/phosphate" in one.place]
        assert any(one.verdict is Verdict.CONDITIONAL for one in of_phosphate) is expected

    def test_biocide_in_the_water_stops_the_warning_of_growth(self, ask_loop: AskLoop) -> None:
        block = {"block": {"base-plate": "metal/copper", "plating": None, "top": None, "seal": None}}
        plain, treated = (
            ask_loop(block, fluid) for fluid in ("fluid/distilled-water", dosed("distilled-water", "isothiazolinone"))
        )
        growing = [
            {one.code for one in answer.findings if one.verdict is Verdict.CONDITIONAL} for answer in (plain, treated)
        ]
        assert growing[0] - growing[1] == {"rule-growth"}

    def test_unknown_additive_is_never_compatible(self, ask: Ask) -> None:
        try:
            answer = ask("plastic/pom-copolymer", dosed("distilled-water", "unicorn-tears"))
        except QuestionError as refused:
            assert refused.nearest
        else:
            assert answer.verdict is Verdict.UNKNOWN


class TestAmongOneAnother:
    @pytest.mark.parametrize(
        ("one", "other"),
        [
            ("hypochlorite", "nitrite"),
            ("hypochlorite", "benzotriazole"),
            ("copper-sulfate", "benzotriazole"),
            ("alkanolamine", "nitrite"),
            ("alkanolamine", "hypochlorite"),
            ("cationic-polymer", "anionic-dispersant"),
        ],
    )
    def test_known_clashes_are_incompatible_in_either_order(self, ask: Ask, one: str, other: str) -> None:
        pair = (f"additive/{one}", f"additive/{other}")
        assert ask(*pair).verdict is ask(*reversed(pair)).verdict is Verdict.INCOMPATIBLE

    @pytest.mark.parametrize(("one", "other"), [("silver-ion", "phosphate"), ("alkanolamine", "glutaraldehyde")])
    def test_a_biocide_that_only_loses_its_effect_asks_for_another_one(self, ask: Ask, one: str, other: str) -> None:
        answer = ask(f"additive/{one}", f"additive/{other}")
        assert answer.verdict is Verdict.CONDITIONAL
        assert [found.id for found in answer.requirements] == ["requirement/growth-control"]

    @pytest.mark.parametrize(("one", "other"), [("nitrite", "molybdate"), ("isothiazolinone", "hypochlorite")])
    def test_known_friends_are_compatible(self, ask: Ask, one: str, other: str) -> None:
        assert ask(f"additive/{one}", f"additive/{other}").verdict is Verdict.COMPATIBLE

    def test_pair_that_no_rule_speaks_of_is_unknown(self, ask: Ask) -> None:
        assert ask("additive/antifoam-silicone", "additive/sebacate").verdict is Verdict.UNKNOWN


class TestHarm:
    @pytest.mark.parametrize("other", ["fluid/citric-acid", "fluid/ammonia-solution", "fluid/isopropyl-alcohol"])
    def test_bleach_carries_a_caution_of_gas(self, ask: Ask, other: str) -> None:
        answer = ask("additive/hypochlorite", other)
        assert answer.verdict is Verdict.INCOMPATIBLE
        assert "caution/chlorine-gas" in {one.id for one in answer.cautions}

    def test_nitrite_with_amine_carries_a_caution(self, ask: Ask) -> None:
        assert "caution/nitrosamine" in {one.id for one in ask("additive/nitrite", "additive/alkanolamine").cautions}


class TestAmines:
    def test_amine_cracks_brass_under_tension_only(self, ask: Ask) -> None:
        assert ask("additive/alkanolamine", "metal/brass-yellow", part_stress=1).verdict is Verdict.INCOMPATIBLE
        relaxed = ask("additive/alkanolamine", "metal/brass-yellow", part_stress=0)
        assert relaxed.verdict is Verdict.UNKNOWN

    def test_amine_attacks_polycarbonate(self, ask: Ask) -> None:
        assert ask("additive/alkanolamine", "plastic/pc").verdict is Verdict.INCOMPATIBLE


class TestChoosingAFluidWithAnAdditive:
    def test_no_fluid_is_better_for_a_clash(self, base: KnowledgeBase) -> None:
        question = SuitableFluidsQuestion(parts=(ALUMINIUM,), additives=("additive/copper-sulfate",))
        assert {one.verdict for one in base.fluids(**dict(question)).suitable} == {Verdict.INCOMPATIBLE}
