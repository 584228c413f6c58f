"""Beyond every published ceiling a filling is refused; between ceilings it is conditional; storage is not meant."""

from __future__ import annotations

from typing import Any

import pytest

from kb import KnowledgeBase
from kb.compatibility.materials.contact import fluid_findings
from kb.parts.resolver import Resolver
from kb.parts.substances import material_element
from schemas.level import Judgement
from schemas.verdict import Verdict

WORST = {Judgement.ERROR: Verdict.INCOMPATIBLE, Judgement.WARNING: Verdict.CONDITIONAL}


def judgements(base: KnowledgeBase, fluid: str, **conditions: float) -> dict[str, Judgement]:
    """Return what is said of a fluid as a whole, by the topic of the rule."""
    element = Resolver(base.snapshot).archetype(fluid, "fluid").elements[0]
    stated = {f"quantity/{name.replace('_', '-')}": value for name, value in conditions.items()}
    found = fluid_findings(base.snapshot, [material_element(base.snapshot, "metal/copper")], element, stated)
    return {one.code.removeprefix("rule-"): one.judgement for one in found if one.code.startswith("rule-")}


@pytest.mark.parametrize(
    ("hardness", "expected"), [(150, None), (201, Judgement.WARNING), (250, Judgement.WARNING), (251, Judgement.ERROR)]
)
@pytest.mark.parametrize("fluid", ["fluid/tap-water-medium", "fluid/water-inhibited", "fluid/distilled-water"])
def test_hardness_climbs_from_nothing_to_a_wall(
    base: KnowledgeBase, fluid: str, hardness: float, expected: Judgement | None
) -> None:
    """Ceilings: 200 mg/l, manual of an air conditioner, 18.2.1; 250 mg/l, UFC 3-240-13FN, nitrite-azole programme."""
    assert judgements(base, fluid, hardness=hardness).get("hardness") is expected


@pytest.mark.parametrize("fluid", ["fluid/propylene-glycol-inhibited", "fluid/ethylene-glycol-inhibited"])
@pytest.mark.parametrize(
    ("share", "expected"), [(30, None), (61, Judgement.WARNING), (70, Judgement.WARNING), (71, Judgement.ERROR)]
)
def test_share_of_glycol_climbs_from_nothing_to_a_wall(
    base: KnowledgeBase, fluid: str, share: float, expected: Judgement | None
) -> None:
    """Ceilings: 60 %, operator's manual of an engine; 70 %, ASTM D3306 clause 1.1 (40 to 70 %)."""
    said = judgements(base, fluid, glycol_share=share).get("dosing")
    assert (said if said in WORST else None) is expected


def test_a_strong_mixture_may_be_kept_though_no_loop_may_run_with_it(base: KnowledgeBase) -> None:
    kept: Any = base.mix("propylene-glycol", concentrate_parts=9, water_parts=1)
    verdicts = {Verdict(finding.verdict) for finding in kept.findings}
    assert Verdict.CONDITIONAL in verdicts
    assert Verdict.INCOMPATIBLE not in verdicts


@pytest.mark.parametrize("iron", ["metal/steel-carbon", "metal/cast-iron"])
@pytest.mark.parametrize("aluminium", ["metal/aluminium-6061", "metal/aluminium-3003", "metal/aluminium-cast"])
@pytest.mark.parametrize(("inhibited", "expected"), [(0, Verdict.INCOMPATIBLE), (1, Verdict.CONDITIONAL)])
def test_aluminium_beside_iron_needs_an_inhibitor_for_both(
    base: KnowledgeBase, aluminium: str, iron: str, inhibited: float, expected: Verdict
) -> None:
    """MIL-STD-889C Table I: I/I/I in all three columns; J. Electrochem. Soc.: in aerated chloride it pays fully."""
    assert Verdict(base.pair(aluminium, iron, conditions={"inhibited": inhibited}).verdict) is expected


@pytest.mark.parametrize("fluid", ["fluid/distilled-water", "fluid/water-inhibited", "fluid/tap-water-medium"])
def test_ferritic_stainless_steel_is_no_free_choice_in_any_water(base: KnowledgeBase, fluid: str) -> None:
    """Nickel Development Institute publication 11 003, as quoted: crevice attack at any chloride."""
    assert Verdict(base.pair("metal/stainless-430", fluid).verdict) is Verdict.CONDITIONAL
    assert Verdict(base.pair("metal/stainless-316", fluid).verdict) is not Verdict.INCOMPATIBLE
