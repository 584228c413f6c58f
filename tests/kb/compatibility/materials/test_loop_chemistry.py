"""Loops: every metal, couple, plating and additive of one circuit is judged, named and sourced."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from schemas.answers.answers import Finding
from schemas.answers.loop import ChemistrySection, LoopAnswer
from schemas.level import Judgement
from schemas.verdict import Verdict

AskLoop = Callable[..., LoopAnswer]

PREMIX = "fluid/propylene-glycol-inhibited-premix"
DISTILLED = "fluid/distilled-water"
COPPER_BLOCK = {"base-plate": "metal/copper", "plating": None, "top": "plastic/pom-copolymer", "seal": "elastomer/epdm"}
PLATED_BLOCK = {**COPPER_BLOCK, "plating": "metal/nickel-plate-electrolytic"}
COPPER_RADIATOR = {"core": "metal/copper", "tank": "metal/brass-yellow", "solder": None}
ALUMINIUM_RADIATOR = {"core": "metal/aluminium-6061", "tank": None, "solder": None}
COPPER_LOOP = {"block": COPPER_BLOCK, "block-2": PLATED_BLOCK, "radiator": COPPER_RADIATOR}
MIXED_LOOP = {"block": COPPER_BLOCK, "radiator": ALUMINIUM_RADIATOR}
STAINLESS_LOOP = {
    "block": PLATED_BLOCK,
    "radiator": COPPER_RADIATOR,
    "filter": {"body": "metal/stainless-316"},
    "sensor": {"body": "metal/stainless-304"},
}


def chemistry_of(answer: LoopAnswer) -> ChemistrySection:
    assert answer.chemistry is not None
    return answer.chemistry


def couple_finding(answer: LoopAnswer, one: str, other: str, code: str = "rule-galvanic") -> Finding:
    found = [
        reported
        for reported in answer.findings
        if reported.code == code and one in reported.place and other in reported.place
    ]
    assert len(found) == 1, [reported.place for reported in answer.findings if reported.code == code]
    return found[0]


class TestCopperBrassAndNickelInInhibitedPremix:
    @pytest.fixture
    def reported(self, ask_loop: AskLoop) -> ChemistrySection:
        return chemistry_of(ask_loop(COPPER_LOOP, PREMIX))

    def test_chemistry_is_compatible(self, reported: ChemistrySection) -> None:
        assert reported.verdict is Verdict.COMPATIBLE

    def test_every_metal_seal_and_plastic_is_judged(self, reported: ChemistrySection) -> None:
        judged = {pair.place.split(" with ")[0] for pair in reported.contacts}
        metals = {"metal/copper", "metal/brass-yellow", "metal/nickel-plate-electrolytic"}
        assert judged == metals | {"plastic/pom-copolymer", "elastomer/epdm"}
        assert {pair.verdict for pair in reported.contacts} == {Verdict.COMPATIBLE}

    def test_every_couple_of_metals_is_judged(self, reported: ChemistrySection) -> None:
        couples = {pair.place.split(" in ")[0] for pair in reported.couples}
        assert couples == {
            "metal/brass-yellow beside metal/copper",
            "metal/brass-yellow beside metal/nickel-plate-electrolytic",
            "metal/copper beside metal/nickel-plate-electrolytic",
        }
        assert {pair.verdict for pair in reported.couples} == {Verdict.COMPATIBLE}

    def test_breached_plating_is_judged_too(self, reported: ChemistrySection) -> None:
        (plating,) = reported.platings
        assert "metal/nickel-plate-electrolytic over metal/copper" in plating.place
        assert plating.verdict is Verdict.COMPATIBLE

    def test_change_of_coolant_is_reported(self, reported: ChemistrySection) -> None:
        assert reported.change_after_months == 24


class TestAluminiumBesideCopper:
    def test_plain_distilled_water_is_incompatible(self, ask_loop: AskLoop) -> None:
        answer = ask_loop(MIXED_LOOP, DISTILLED)
        assert chemistry_of(answer).verdict is answer.verdict is Verdict.INCOMPATIBLE

    def test_anode_voltages_and_source_are_named(self, ask_loop: AskLoop) -> None:
        reported = couple_finding(ask_loop(MIXED_LOOP, DISTILLED), "metal/aluminium-6061", "metal/copper")
        assert [fact.value for fact in reported.facts if fact.column == "anode"] == ["aluminium 6061"]
        volts = {one.name: one.value for one in reported.quantities}
        assert volts["quantity/couple-voltage"] == pytest.approx(0.40)  # -0.76 and -0.36 V against calomel
        assert volts["quantity/couple-voltage-index"] == pytest.approx(0.55)  # 0.90 and 0.35 V below gold
        assert reported.rules and reported.rules[0].source in reported.sources
        assert reported.remedy

    def test_inhibited_glycol_makes_it_conditional_and_no_better(self, ask_loop: AskLoop) -> None:
        reported = couple_finding(ask_loop(MIXED_LOOP, PREMIX), "metal/aluminium-6061", "metal/copper")
        assert reported.verdict is Verdict.CONDITIONAL

    def test_plain_glycol_is_no_inhibitor(self, ask_loop: AskLoop) -> None:
        answer = ask_loop(MIXED_LOOP, "fluid/ethylene-glycol-uninhibited-25")
        assert couple_finding(answer, "metal/aluminium-6061", "metal/copper").verdict is Verdict.INCOMPATIBLE

    def test_oil_carries_no_couple(self, ask_loop: AskLoop) -> None:
        assert chemistry_of(ask_loop(MIXED_LOOP, "fluid/mineral-oil")).couples == ()

    def test_metals_need_not_touch_or_share_a_device(self, ask_loop: AskLoop) -> None:
        apart = {"block": COPPER_BLOCK, "reservoir": {"body": "plastic/pmma"}, "radiator": ALUMINIUM_RADIATOR}
        assert chemistry_of(ask_loop(apart, DISTILLED)).verdict is Verdict.INCOMPATIBLE


class TestAreas:
    def areas(self, copper: float, aluminium: float) -> dict[str, dict[str, float]]:
        return {"block": {"base-plate": copper}, "radiator": {"core": aluminium}}

    def test_large_noble_surface_beside_a_small_anode_is_reported_with_its_ratio(self, ask_loop: AskLoop) -> None:
        answer = ask_loop(MIXED_LOOP, DISTILLED, self.areas(300.0, 100.0))
        reported = couple_finding(answer, "aluminium-6061", "copper", "area-ratio")
        values = {one.name: one.value for one in reported.quantities}
        assert values["quantity/area-ratio"] == pytest.approx(3.0)
        assert reported.judgement is Judgement.NOTE
        assert any(value == pytest.approx(4.0) for value in values.values())  # 1 + 300 / 100 times as fast

    def test_large_anode_is_reported_beside_the_couple_and_is_no_fault_of_its_own(self, ask_loop: AskLoop) -> None:
        answer = ask_loop(MIXED_LOOP, DISTILLED, self.areas(100.0, 10000.0))
        assert [reported for reported in answer.findings if reported.code == "area-ratio"] == []
        couple = couple_finding(answer, "metal/aluminium-6061", "metal/copper")
        assert {one.name: one.value for one in couple.quantities}["quantity/area-ratio"] == pytest.approx(0.01)

    def test_areas_never_make_the_couple_itself_milder(self, ask_loop: AskLoop) -> None:
        answer = ask_loop(MIXED_LOOP, DISTILLED, self.areas(1.0, 100000.0))
        assert couple_finding(answer, "aluminium-6061", "copper").verdict is Verdict.INCOMPATIBLE

    @pytest.mark.parametrize("known", [{}, {"block": {"base-plate": 300.0}}, {"radiator": {"core": 100.0}}])
    def test_unknown_areas_are_not_guessed(self, ask_loop: AskLoop, known: dict[str, dict[str, float]]) -> None:
        answer = ask_loop(MIXED_LOOP, DISTILLED, known)
        assert [reported for reported in answer.findings if reported.code == "area-ratio"] == []

    def test_area_of_a_metal_counts_over_all_devices(self, ask_loop: AskLoop) -> None:
        devices = {**MIXED_LOOP, "block-2": COPPER_BLOCK}
        areas = {**self.areas(100.0, 100.0), "block-2": {"base-plate": 50.0}}
        reported = couple_finding(ask_loop(devices, DISTILLED, areas), "aluminium-6061", "copper", "area-ratio")
        assert reported.quantities[0].value == pytest.approx(1.5)

    def test_friendly_couple_has_no_area_effect(self, ask_loop: AskLoop) -> None:
        areas = {"block": {"base-plate": 300.0}, "radiator": {"tank": 10.0, "core": 300.0}}
        answer = ask_loop({"block": COPPER_BLOCK, "radiator": COPPER_RADIATOR}, PREMIX, areas)
        assert [reported for reported in answer.findings if reported.code == "area-ratio"] == []


class TestNoFalseAlarm:
    def test_nickel_copper_brass_and_stainless_together_are_compatible(self, ask_loop: AskLoop) -> None:
        reported = chemistry_of(ask_loop(STAINLESS_LOOP, PREMIX))
        assert {pair.verdict for pair in reported.couples} == {Verdict.COMPATIBLE}
        assert reported.verdict is Verdict.COMPATIBLE

    def test_same_metal_twice_is_no_couple(self, ask_loop: AskLoop) -> None:
        assert chemistry_of(ask_loop({"block": COPPER_BLOCK, "block-2": COPPER_BLOCK}, DISTILLED)).couples == ()

    def test_one_metal_and_plastics_have_no_couple(self, ask_loop: AskLoop) -> None:
        reported = chemistry_of(ask_loop({"block": COPPER_BLOCK, "reservoir": {"body": "plastic/pmma"}}, DISTILLED))
        assert reported.couples == ()


class TestPlating:
    def test_coolant_meets_the_plating_and_not_the_metal_below(self, ask_loop: AskLoop) -> None:
        reported = chemistry_of(ask_loop({"block": PLATED_BLOCK}, PREMIX))
        assert not any(pair.place.startswith("metal/copper with") for pair in reported.contacts)
        assert [one.plated for one in reported.surfaces if one.material == "metal/copper"] == [True]

    @pytest.mark.parametrize(
        ("plating", "below", "fluid", "verdict"),
        [
            ("metal/nickel-plate-electrolytic", "metal/copper", DISTILLED, Verdict.CONDITIONAL),
            ("metal/nickel-plate-electrolytic", "metal/brass-free-cutting", DISTILLED, Verdict.CONDITIONAL),
            ("metal/nickel-plate-electroless", "metal/aluminium-6061", DISTILLED, Verdict.INCOMPATIBLE),
            ("metal/nickel-plate-electroless", "metal/aluminium-6061", PREMIX, Verdict.INCOMPATIBLE),
            ("metal/nickel-plate-electroless", "metal/steel-carbon", DISTILLED, Verdict.INCOMPATIBLE),
        ],
    )
    def test_breached_plating_is_judged_by_what_lies_below(
        self, ask_loop: AskLoop, plating: str, below: str, fluid: str, verdict: Verdict
    ) -> None:
        block = {"base-plate": below, "plating": plating, "top": None, "seal": None}
        (reported,) = chemistry_of(ask_loop({"block": block}, fluid)).platings
        assert reported.place.startswith(f"{plating} over {below}")
        assert reported.verdict is verdict

    def test_loop_is_never_milder_than_its_breached_plating(self, ask_loop: AskLoop) -> None:
        block = {"base-plate": "metal/aluminium-6061", "plating": "metal/nickel-plate-electroless", "seal": None}
        assert chemistry_of(ask_loop({"block": block}, PREMIX)).verdict is Verdict.INCOMPATIBLE


class TestSurfaces:
    def test_what_nobody_names_is_usual_and_says_so(self, ask_loop: AskLoop) -> None:
        reported = chemistry_of(ask_loop({"block": {}}, PREMIX))
        assert reported.surfaces and all(one.usual for one in reported.surfaces)

    def test_what_the_asker_names_is_not_called_usual(self, ask_loop: AskLoop) -> None:
        reported = chemistry_of(ask_loop({"block": {"top": "plastic/pmma"}}, PREMIX))
        assert [one.usual for one in reported.surfaces if one.role == "top"] == [None]

    def test_surface_that_is_not_there_is_left_out(self, ask_loop: AskLoop) -> None:
        reported = chemistry_of(ask_loop({"block": {**COPPER_BLOCK, "seal": None}}, PREMIX))
        assert "elastomer/epdm" not in {one.material for one in reported.surfaces}

    def test_device_of_unknown_material_is_unknown_and_not_compatible(self, ask_loop: AskLoop) -> None:
        answer = ask_loop({"block": COPPER_BLOCK, "sensor": {}}, PREMIX)
        assert chemistry_of(answer).verdict is Verdict.UNKNOWN
        (gap,) = [reported for reported in answer.findings if reported.code == "material-missing"]
        assert gap.place == "sensor"


class TestReasonsReportedOnce:
    def test_what_is_said_of_the_fluid_is_said_once_and_of_no_material(self, ask_loop: AskLoop) -> None:
        answer = ask_loop(COPPER_LOOP, DISTILLED)
        (growth,) = [reported for reported in answer.findings if reported.code == "rule-growth"]
        assert growth.place == DISTILLED
        (whole,) = chemistry_of(answer).whole
        assert whole.place == DISTILLED

    def test_one_rule_on_several_metals_is_one_finding_that_names_them_all(self, ask_loop: AskLoop) -> None:
        radiator = {**COPPER_RADIATOR, "core": "metal/copper", "tank": "metal/bronze-tin"}
        answer = ask_loop({"block": COPPER_BLOCK, "radiator": radiator}, "fluid/tap-water-medium")
        (chloride,) = [reported for reported in answer.findings if reported.code == "rule-chloride"]
        for material in ("metal/copper", "metal/bronze-tin"):
            assert material in chloride.place
        assert chloride.place.count("fluid/tap-water-medium") == 1

    def test_couples_under_one_rule_name_the_fluid_once(self, ask_loop: AskLoop) -> None:
        devices = {**COPPER_LOOP, "radiator-2": ALUMINIUM_RADIATOR}
        for reported in ask_loop(devices, PREMIX).findings:
            assert reported.place.count(PREMIX) <= 1, reported.place

    def test_what_additives_do_to_every_metal_is_said_of_the_fluid(self, ask_loop: AskLoop) -> None:
        fluid = {"kind": "fluid", "is": DISTILLED, "additives": ["additive/silver-ion", "additive/silver-coil"]}
        answer = ask_loop({"block": COPPER_BLOCK, "radiator": COPPER_RADIATOR}, fluid)
        assert any(reported.code == "rule-plating" for reported in answer.findings)
        assert all("additive/" not in reported.place for reported in answer.findings if reported.code == "rule-plating")


def additives(fluid: str, *names: str, **properties: float) -> dict[str, Any]:
    return {
        "kind": "fluid",
        "is": fluid,
        "additives": [f"additive/{name}" for name in names],
        "properties": {name.replace("_", "-"): value for name, value in properties.items()},
    }


class TestAdditivesInALoop:
    def test_copper_salt_with_an_aluminium_radiator_is_incompatible(self, ask_loop: AskLoop) -> None:
        answer = ask_loop({"radiator": ALUMINIUM_RADIATOR}, additives(PREMIX, "copper-sulfate"))
        reported = couple_finding(answer, "aluminium-6061", "copper-sulfate", "rule-plating")
        assert reported.verdict is chemistry_of(answer).verdict is Verdict.INCOMPATIBLE

    def test_additives_that_clash_are_found_without_any_material(self, ask_loop: AskLoop) -> None:
        answer = ask_loop({"block": COPPER_BLOCK}, additives(DISTILLED, "copper-sulfate", "benzotriazole"))
        mixture = {pair.place: pair.verdict for pair in chemistry_of(answer).mixture}
        assert mixture["additive/benzotriazole with additive/copper-sulfate"] is Verdict.INCOMPATIBLE

    @pytest.mark.parametrize(("ph", "expected"), [(8.3, Verdict.CONDITIONAL), (9.5, None)])
    def test_acidity_of_the_fluid_counts_for_its_additives(
        self, ask_loop: AskLoop, ph: float, expected: Verdict | None
    ) -> None:
        """Phosphate fell out with nickel once the pH had dropped to 8.3; at 9.5 that loop ran."""
        block = {"base-plate": "metal/nickel", "plating": None, "top": None, "seal": None}
        answer = ask_loop({"block": block}, additives("fluid/water-inhibited", "phosphate", ph=ph))
        found = [
            reported.verdict
            for reported in answer.findings
            if reported.code == "rule-acidity" and "phosphate" in reported.place
        ]
        assert found == ([expected] if expected else [])

    def test_usual_acidity_of_the_fluid_is_known_to_its_additives(self, ask_loop: AskLoop) -> None:
        block = {"base-plate": "metal/nickel", "plating": None, "top": None, "seal": None}
        answer = ask_loop({"block": block}, additives("fluid/water-inhibited", "phosphate"))
        acid = [
            reported
            for reported in answer.findings
            if "phosphate" in reported.place and reported.code == "rule-acidity"
        ]
        assert acid == []  # usually pH 9.5: the rule about a fallen pH is not met
