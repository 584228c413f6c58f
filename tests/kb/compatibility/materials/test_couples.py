"""Couples of metals: two series never mixed, no anode where they disagree, an inhibitor that never makes it worse."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import combinations

import pytest

from kb.compatibility.joints.joint import Joint
from kb.compatibility.materials.contact import judge_substances
from kb.compatibility.materials.galvanic_couples import Couple, is_metal, judge_couple, place_couple
from kb.evidence.tree import Fact, Number, verdict_of
from kb.knowledge_base import KnowledgeBase
from kb.parts.part import Element
from kb.parts.substances import material_element, substance_element
from schemas.answers.answers import PairAnswer
from schemas.tables.fluids import Fluid
from schemas.tables.material_properties import PropertyName
from schemas.tables.materials import Material
from schemas.tables.rules import Rule, RuleTopic
from schemas.verdict import Verdict

Ask = Callable[..., PairAnswer]


@pytest.fixture(scope="module")
def metals(base: KnowledgeBase) -> list[Element]:
    elements = [material_element(base.snapshot, row.id) for row in base.snapshot.active(Material)]
    return [one for one in elements if is_metal(one)]


@pytest.fixture(scope="module")
def couples(base: KnowledgeBase, metals: list[Element]) -> list[Couple]:
    return [place_couple(base.snapshot, *pair) for pair in combinations(metals, 2)]


def test_both_values_of_a_voltage_come_from_one_series(couples: list[Couple]) -> None:
    for couple in couples:
        for placed, series in (
            (couple.by_index, PropertyName.ANODIC_INDEX),
            (couple.in_seawater, PropertyName.SEAWATER_POTENTIAL),
        ):
            if placed is not None:
                assert {placed.first.property, placed.second.property} == {series}
                assert placed.first.unit == placed.second.unit == "V"


def test_reported_voltages_are_fed_by_one_series_each(base: KnowledgeBase, metals: list[Element]) -> None:
    reported = 0
    for pair in combinations(metals, 2):
        for finding in judge_couple(base.snapshot, pair, "place", ({}, {})):
            for node in finding.evidence:
                if isinstance(node, Number) and node.quantity_id.startswith("quantity/couple-voltage"):
                    columns = {one.column for one in node.inputs if isinstance(one, Fact)}
                    assert len(columns) == 1, (finding.place, columns)
                    reported += 1
    assert reported > 200


def test_potentials_against_silver_chloride_are_never_subtracted(base: KnowledgeBase, metals: list[Element]) -> None:
    for pair in combinations(metals, 2):
        text = repr(judge_couple(base.snapshot, pair, "place", ({}, {})))
        assert PropertyName.SEAWATER_POTENTIAL_AG_AGCL.value not in text


def test_anode_is_the_less_noble_one_in_every_series_that_can_tell(couples: list[Couple]) -> None:
    named = 0
    for couple in couples:
        votes = {one.less_noble for one in (couple.by_index, couple.in_seawater) if one and one.less_noble is not None}
        if couple.anode is None:
            assert len(votes) != 1
        else:
            assert couple.anode is couple.metals[votes.pop()]
            named += 1
    assert named > len(couples) / 2


def overlapping(couples: list[Couple]) -> Iterator[Couple]:
    for couple in couples:
        ranges = [
            (one.value, one.value_high or one.value)
            for one in ((couple.in_seawater.first, couple.in_seawater.second) if couple.in_seawater else ())
        ]
        if ranges and ranges[0][0] <= ranges[1][1] and ranges[1][0] <= ranges[0][1]:
            yield couple


def test_overlapping_bands_of_printed_values_name_no_anode_in_that_series(couples: list[Couple]) -> None:
    found = list(overlapping(couples))
    assert found
    assert {couple.in_seawater.less_noble for couple in found if couple.in_seawater} == {None}


@pytest.mark.parametrize(
    "pair",
    [
        ("metal/copper", "metal/stainless-304"),  # index 0.50 below 0.35 V, seawater -0.08 above -0.36 V
        ("metal/tin", "metal/copper"),  # index 0.60 to 0.65, seawater -0.325 above -0.36 V
        ("metal/lead", "metal/brass-low-zinc"),
    ],
)
def test_series_that_disagree_name_no_anode(ask: Ask, pair: tuple[str, str]) -> None:
    answer = ask(*pair)
    assert not any(fact.column == "anode" for reported in answer.findings for fact in reported.facts)


def test_every_couple_gets_a_verdict_with_a_source(base: KnowledgeBase, metals: list[Element]) -> None:
    for pair in combinations(metals, 2):
        answer = base.decide(pair[0].row.id, pair[1].row.id)
        assert answer.verdict is not Verdict.UNKNOWN, answer.joint.place


def test_inhibitor_never_makes_a_couple_worse(base: KnowledgeBase, metals: list[Element]) -> None:
    for pair in combinations(metals, 2):
        bare, inhibited = (
            base.decide(pair[0].row.id, pair[1].row.id, {"inhibited": value}).verdict for value in (0, 1)
        )
        assert inhibited.severity <= bare.severity, [one.row.id for one in pair]


def test_inhibitor_never_makes_aluminium_and_copper_compatible(base: KnowledgeBase) -> None:
    """Nobody has published how much current is left in an inhibited coolant."""
    for aluminium in (
        "metal/aluminium-1050",
        "metal/aluminium-6063",
        "metal/aluminium-anodised",
        "metal/aluminium-cast",
    ):
        for copper in ("metal/copper", "metal/brass-yellow", "metal/bronze-tin"):
            assert base.decide(aluminium, copper, {"inhibited": 1}).verdict is Verdict.CONDITIONAL


@pytest.mark.parametrize("group", [("metal/copper", "metal/brass-yellow", "metal/nickel", "metal/stainless-316")])
def test_trade_group_raises_no_alarm_but_reports_who_disagrees(ask: Ask, group: tuple[str, ...]) -> None:
    for pair in combinations(group, 2):
        answer = ask(*pair)
        named = {one.id for one in answer.requirements}
        assert answer.verdict is Verdict.COMPATIBLE or named == {"requirement/copper-inhibitor"}, pair
    disputes = [one.source for reported in ask("metal/copper", "metal/nickel").findings for one in reported.disputes]
    assert disputes == ["source/mil-std-889c"]


FILLINGS = (
    "fluid/distilled-water",
    "fluid/water-inhibited",
    "fluid/water-molybdate-azole",
    "fluid/propylene-glycol-inhibited-premix",
    "fluid/automotive-hoat-50",
)


def judged(base: KnowledgeBase, pair: tuple[Element, Element], fluid: str, chloride: float) -> Joint:
    around = substance_element(base.snapshot, base.snapshot.get(Fluid, fluid), fluid)
    return judge_substances(base.snapshot, *pair, {"quantity/chloride": chloride}, around)


@pytest.mark.parametrize("fluid", FILLINGS)
def test_order_never_matters_and_more_chloride_is_never_milder(
    base: KnowledgeBase, metals: list[Element], fluid: str
) -> None:
    for pair in combinations(metals, 2):
        fresh, brackish = (judged(base, pair, fluid, chloride) for chloride in (1.0, 501.0))
        assert fresh.verdict is judged(base, (pair[1], pair[0]), fluid, 1.0).verdict, fresh.place
        assert fresh.verdict is not Verdict.UNKNOWN, fresh.place
        assert brackish.verdict.severity >= fresh.verdict.severity, fresh.place


@pytest.mark.parametrize("fluid", FILLINGS[1:])
@pytest.mark.parametrize("chloride", [1.0, 501.0])
def test_an_inhibited_fluid_is_never_worse_than_bare_water(
    base: KnowledgeBase, metals: list[Element], fluid: str, chloride: float
) -> None:
    for pair in combinations(metals, 2):
        bare, inhibited = (judged(base, pair, one, chloride) for one in (FILLINGS[0], fluid))
        assert inhibited.verdict.severity <= bare.verdict.severity, bare.place


def test_only_roles_for_both_metals_relax_a_couple(base: KnowledgeBase) -> None:
    """Steel beside copper fails in every environment of the table; the role of inhibited water for iron is unknown."""
    pair = (material_element(base.snapshot, "metal/steel-carbon"), material_element(base.snapshot, "metal/copper"))
    verdicts = [judged(base, pair, fluid, 1.0).verdict for fluid in FILLINGS[:3]]
    assert verdicts == [Verdict.INCOMPATIBLE, Verdict.INCOMPATIBLE, Verdict.CONDITIONAL]


def test_seawater_column_speaks_only_above_the_chloride_limit(base: KnowledgeBase) -> None:
    pair = (material_element(base.snapshot, "metal/nickel"), material_element(base.snapshot, "metal/stainless-304"))
    found = [judged(base, pair, FILLINGS[0], chloride).verdict for chloride in (500.0, 500.1)]
    assert found == [Verdict.COMPATIBLE, Verdict.INCOMPATIBLE]


def test_a_smaller_anode_is_never_milder(base: KnowledgeBase, metals: list[Element]) -> None:
    for pair in combinations(metals, 2):
        if (anode := place_couple(base.snapshot, *pair).anode) is not None:
            small, large = ((size, 100.0) if anode is pair[0] else (100.0, size) for size in (10.0, 1000.0))
            severities = [
                verdict_of(judge_couple(base.snapshot, pair, "place", ({}, {}), areas)).severity
                for areas in (small, large)
            ]
            assert severities[0] >= severities[1]


def test_a_galvanic_rule_that_names_a_dispute_has_one(base: KnowledgeBase) -> None:
    rules = [row for row in base.snapshot.active(Rule) if row.topic is RuleTopic.GALVANIC]
    named = [row.id for row in rules if "see the dispute" in (row.note or "")]
    assert named
    assert [rule for rule in named if not base.snapshot.disputes(rule)] == []
