"""Galvanic order and couples against series that are not in our tables, and couples worked out by hand.

1. Ranked list of MIL-STD-889 (seawater, 1 = most anodic), read in a numbered copy; none of its ranks is in our
   tables. Copper stands in it twice (33 and 55), so ranks from 33 up are one loose range in which order means nothing.
2. Galvanic-series chart of a marine-corrosion course, seawater of 25 degC against Ag/AgCl [mV]: kept in our tables, but
   never used to name an anode.
3. MIL-STD-889C (2016) Table I, seawater column, bare metals, as transcribed in a naval data file. Seawater is the
   harshest service, so it bounds a loop from above.
4. Potentials of the US Naval Research Laboratory's data file SeawaterPotentialData.xml and the anodic index with its
   practice limits; couples subtracted by hand.

A metal that the base calls the anode must never be the more noble one of the outside list, but for the disagreements
named here; where two series disagree, or ranges of printed values overlap, the base must name none.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations

import pytest

from kb.compatibility.materials.galvanic_couples import Couple, place_couple
from kb.knowledge_base import KnowledgeBase
from kb.parts.substances import material_element
from schemas.answers.answers import Finding
from schemas.level import Judgement
from schemas.tables.limits import Limit
from schemas.verdict import Verdict

RANKS = {
    "metal/magnesium": 1,
    "metal/zinc": 4,
    "metal/aluminium-3003": 18,
    "metal/aluminium-6061": 19,
    "metal/aluminium-cast": 20,
    "metal/tin": 27,
    "metal/lead": 29,
    "metal/steel-carbon": 30,
    "metal/cast-iron": 31,
    "metal/copper": 33,
    "metal/nickel-plate-electrolytic": 34,
    "metal/chromium-plate": 35,
    "metal/brass-yellow": 46,
    "metal/brass-low-zinc": 56,
}
LOOSE_FROM = 33
RANKED_PAIRS = [pair for pair in combinations(RANKS, 2) if min(RANKS[one] for one in pair) < LOOSE_FROM]

# Tin and lead stand above iron in the ranked list. The Navy's measured potentials (tin -0.325, lead -0.22, steel and
# iron -0.61 V against calomel) and the anodic index (0.65, 0.70, 0.85 V) both put iron on the anodic side.
CONTRADICTED = {
    ("metal/tin", "metal/steel-carbon"): "metal/steel-carbon",
    ("metal/tin", "metal/cast-iron"): "metal/cast-iron",
    ("metal/lead", "metal/steel-carbon"): "metal/steel-carbon",
    ("metal/lead", "metal/cast-iron"): "metal/cast-iron",
}
# No anode is named: measured potentials put tin and lead on the noble side of copper alloys, the index on the other;
# casting alloys have one range for all; iron and steel stand level; tin and chromium plate share a group of the index.
UNNAMED = {
    ("metal/aluminium-3003", "metal/aluminium-cast"),
    ("metal/aluminium-6061", "metal/aluminium-cast"),
    ("metal/tin", "metal/lead"),
    ("metal/tin", "metal/copper"),
    ("metal/tin", "metal/chromium-plate"),
    ("metal/tin", "metal/brass-low-zinc"),
    ("metal/lead", "metal/copper"),
    ("metal/lead", "metal/brass-yellow"),
    ("metal/lead", "metal/brass-low-zinc"),
    ("metal/steel-carbon", "metal/cast-iron"),
}

Place = Callable[[str, str], Couple]


@pytest.fixture(scope="module")
def place(base: KnowledgeBase) -> Place:
    def placed(one: str, other: str) -> Couple:
        return place_couple(base.snapshot, *(material_element(base.snapshot, metal) for metal in (one, other)))

    return placed


def anode_of(couple: Couple) -> str | None:
    return couple.anode.row.id if couple.anode else None


@pytest.mark.parametrize("pair", RANKED_PAIRS, ids="|".join)
def test_anode_of_every_ranked_pair(place: Place, pair: tuple[str, str]) -> None:
    expected = None if pair in UNNAMED else CONTRADICTED.get(pair, min(pair, key=RANKS.__getitem__))
    assert anode_of(place(*pair)) == expected


def test_disagreements_with_the_ranked_list_stay_few() -> None:
    assert (len(RANKED_PAIRS), len(CONTRADICTED), len(UNNAMED)) == (81, 4, 10)
    assert set(RANKED_PAIRS) >= set(CONTRADICTED) | UNNAMED


CHART_MV = {
    "metal/zinc": -1050,
    "metal/aluminium-6061": -820,
    "metal/steel-carbon": -790,
    "metal/tin": -500,
    "metal/brass-naval": -450,
    "metal/brass-yellow": -450,
}
CHART_SPREAD_MV = 40  # the chart's own, for alloys of iron and nickel


@pytest.mark.parametrize(
    "pair",
    [
        pair
        for pair in combinations(CHART_MV, 2)
        if abs(CHART_MV[pair[0]] - CHART_MV[pair[1]]) > CHART_SPREAD_MV and pair != ("metal/tin", "metal/brass-naval")
    ],
    ids="|".join,
)
def test_anode_agrees_with_the_chart_against_silver_chloride(place: Place, pair: tuple[str, str]) -> None:
    assert anode_of(place(*pair)) == min(pair, key=CHART_MV.__getitem__)


def test_tin_and_naval_brass_have_no_anode_because_the_series_disagree(place: Place) -> None:
    """Tin is anodic by chart (-500, -450 mV) and index, noble by the Navy's figures (-0.325, -0.40 V)."""
    couple = place("metal/tin", "metal/brass-naval")
    assert couple.by_index and couple.in_seawater and couple.anode is None
    assert {couple.by_index.less_noble, couple.in_seawater.less_noble} == {0, 1}


@pytest.mark.parametrize(
    ("one", "other", "seawater_v", "index_v"),
    [
        ("metal/aluminium-6061", "metal/copper", 0.40, 0.55),  # -0.76, -0.36; 0.90, 0.35
        ("metal/aluminium-3003", "metal/nickel", 0.64, 0.60),  # -0.79, -0.15; 0.90, 0.30
        ("metal/aluminium-6061", "metal/silver", 0.63, 0.75),  # -0.76, -0.13; 0.90, 0.15
        ("metal/aluminium-6061", "metal/brass-naval", 0.36, 0.45),  # -0.76, -0.40; 0.90, 0.45
        ("metal/steel-carbon", "metal/copper", 0.25, 0.50),  # -0.61, -0.36; 0.85, 0.35
        ("metal/zinc", "metal/copper", 0.67, 0.90),  # -1.03, -0.36; 1.25, 0.35
        ("metal/magnesium", "metal/zinc", 0.61, 0.50),  # -1.64, -1.03; 1.75, 1.25
        ("metal/copper", "metal/nickel", 0.21, 0.05),  # -0.36, -0.15; 0.35, 0.30
        ("metal/copper", "metal/gold", 0.50, 0.35),  # -0.36, +0.14; 0.35, 0.00
        ("metal/tin", "metal/copper", 0.035, 0.30),  # -0.325, -0.36; 0.60 to 0.65, 0.35
    ],
)
def test_couple_voltages_by_hand(place: Place, one: str, other: str, seawater_v: float, index_v: float) -> None:
    couple = place(one, other)
    assert couple.in_seawater and couple.by_index
    assert couple.in_seawater.voltage == pytest.approx(seawater_v, abs=1e-9)
    assert couple.by_index.voltage == pytest.approx(index_v, abs=1e-9)


Galvanic = Callable[..., Finding]


@pytest.fixture(scope="module")
def galvanic(base: KnowledgeBase) -> Galvanic:
    """Return what a couple is reported first: the rule or the screening figure."""

    def ask(one: str, other: str, **conditions: float) -> Finding:
        return base.pair(one, other, conditions=conditions).findings[0]

    return ask


HARSH_V, NORMAL_V = 0.15, 0.25


def test_practice_limits_of_the_anodic_index(base: KnowledgeBase) -> None:
    """Environment rule beside the index: 0.15 V harsh, 0.25 V normal, 0.50 V dry and warm; a loop is never dry."""
    limits = {row.id: row for row in base.snapshot.active(Limit) if row.quantity_id.startswith("quantity/couple-")}
    harsh, normal = limits["limit/couple-voltage-harsh-attack"], limits["limit/couple-voltage-normal-attack"]
    assert (harsh.value, normal.value) == (HARSH_V, NORMAL_V)
    assert {harsh.level, normal.level} == {Judgement.WARNING}
    assert 0.50 not in {row.value for row in limits.values()}


@pytest.mark.parametrize(
    ("one", "other", "inhibited", "verdict"),
    [
        ("metal/steel-carbon", "metal/lead", 0, Verdict.COMPATIBLE),  # 0.15 V, exactly the harsh limit
        ("metal/steel-carbon", "metal/tin", 0, Verdict.CONDITIONAL),  # 0.25 V by the larger figure
        ("metal/steel-carbon", "metal/tin", 1, Verdict.COMPATIBLE),  # exactly the normal limit
        ("metal/steel-carbon", "metal/copper", 1, Verdict.CONDITIONAL),  # 0.50 V
        ("metal/steel-carbon", "metal/copper", 0, Verdict.INCOMPATIBLE),  # above 0.45 V
        ("metal/zinc", "metal/aluminium-6061", 1, Verdict.CONDITIONAL),  # 0.35 V
    ],
)
def test_screened_couples_on_either_side_of_the_practice_limits(
    base: KnowledgeBase, one: str, other: str, inhibited: float, verdict: Verdict
) -> None:
    code = f"couple-voltage-{'normal' if inhibited else 'harsh'}"
    found = base.pair(one, other, conditions={"inhibited": inhibited}).findings
    assert [reported.verdict for reported in found if reported.code == code] == [verdict]


SEAWATER_INCOMPATIBLE = [
    ("metal/aluminium-6061", "metal/copper"),
    ("metal/aluminium-6061", "metal/nickel"),
    ("metal/aluminium-6061", "metal/stainless-304"),
    ("metal/aluminium-6061", "metal/silver"),
    ("metal/zinc", "metal/copper"),
    ("metal/steel-carbon", "metal/copper"),
    ("metal/solder-tin-lead", "metal/copper"),
    ("metal/magnesium", "metal/zinc"),
]


@pytest.mark.parametrize("pair", SEAWATER_INCOMPATIBLE, ids="|".join)
def test_what_seawater_forbids_is_never_compatible_without_inhibitor(galvanic: Galvanic, pair: tuple[str, str]) -> None:
    assert galvanic(*pair).verdict.severity >= Verdict.CONDITIONAL.severity


@pytest.mark.parametrize(
    ("pair", "verdict"),
    [
        (("metal/copper", "metal/nickel"), Verdict.CONDITIONAL),
        (("metal/copper", "metal/silver"), Verdict.CONDITIONAL),
        (("metal/copper", "metal/stainless-316"), Verdict.CONDITIONAL),
        (("metal/stainless-304", "metal/nickel"), Verdict.COMPATIBLE),
    ],
)
def test_seawater_verdict_against_trade_groups_is_reported_as_a_dispute(
    galvanic: Galvanic, pair: tuple[str, str], verdict: Verdict
) -> None:
    """MIL-STD-889C fails them bare in seawater alone (C/I/C); airframe groups (Niu, 1988) put them together.

    So bare copper beside them asks for an inhibitor for copper.
    """
    reported = galvanic(*pair)
    assert reported.verdict is verdict
    assert [(one.verdict, one.source) for one in reported.disputes] == [(Verdict.INCOMPATIBLE, "source/mil-std-889c")]


@pytest.mark.parametrize("noble", ["metal/copper", "metal/lead", "metal/nickel", "metal/tin"])
def test_aluminium_is_very_sensitive_beside_copper_lead_nickel_and_tin(galvanic: Galvanic, noble: str) -> None:
    """Degremont water treatment handbook, aluminium page: galvanic corrosion with these in any water."""
    assert galvanic("metal/aluminium-6061", noble).verdict is Verdict.INCOMPATIBLE


def test_copper_on_aluminium_above_0_45_v_is_unsuitable(galvanic: Galvanic) -> None:
    """CERN, power-converter cooling, water and materials, galvanic examples: unsuitable in humid places."""
    assert galvanic("metal/copper", "metal/aluminium-6061").verdict is Verdict.INCOMPATIBLE


def test_mild_verdict_for_tin_on_aluminium_in_humid_air_is_reported_beside_the_severe_one(galvanic: Galvanic) -> None:
    """The same page calls tinned copper on aluminium mild in humid air; the handbook counts tin among the attackers."""
    reported = galvanic("metal/tin", "metal/aluminium-6061")
    assert reported.verdict is Verdict.INCOMPATIBLE
    assert (Verdict.COMPATIBLE, "source/cern-cooling-water-materials") in {
        (one.verdict, one.source) for one in reported.disputes
    }


def test_electroless_nickel_severely_attacks_steel(galvanic: Galvanic) -> None:
    """Electroless nickel in harbour water, abstract: more noble than steel, severe attack on the steel."""
    reported = galvanic("metal/nickel-plate-electroless", "metal/steel-carbon")
    assert reported.verdict is Verdict.INCOMPATIBLE
    assert "carbon steel" in {fact.value for fact in reported.facts if fact.column == "anode"}
