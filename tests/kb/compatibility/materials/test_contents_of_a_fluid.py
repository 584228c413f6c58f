"""What is dosed meets what a fluid already contains, as if that had been dosed, too."""

from __future__ import annotations

import pytest

from kb import KnowledgeBase
from kb.parts.substances import content_families
from schemas import PairQuestion
from schemas.tables.additives import Additive
from schemas.tables.fluids import Fluid
from schemas.verdict import Verdict


def verdict(base: KnowledgeBase, a: object, b: str) -> Verdict:
    return Verdict(base.pair(**dict(PairQuestion.model_validate({"a": a, "b": b}))).verdict)


def test_every_additive_is_no_milder_in_a_fluid_than_beside_what_the_fluid_contains(base: KnowledgeBase) -> None:
    additives = list(base.snapshot.active(Additive))
    milder = [
        (additive.id, fluid.id, word)
        for fluid in base.snapshot.active(Fluid)
        for word in fluid.contents
        for inside in additives
        if word in inside.contents and content_families(base.snapshot, word)[:1] == (f"additive/{word}",)
        for additive in additives
        if additive.id != inside.id and verdict(base, additive.id, inside.id) is Verdict.INCOMPATIBLE
        if verdict(base, additive.id, fluid.id) is not Verdict.INCOMPATIBLE
    ]
    assert milder == []


@pytest.mark.parametrize(
    "fluid",
    [
        "fluid/propylene-glycol-inhibited-premix",
        "fluid/ethylene-glycol-inhibited-premix",
        "fluid/water-inhibited",
        "fluid/automotive-oat-50",
        "fluid/dyed-premix",
    ],
)
@pytest.mark.parametrize("additive", ["additive/copper-sulfate", "additive/hypochlorite"])
def test_what_destroys_an_azole_is_refused_in_every_coolant_with_one(
    base: KnowledgeBase, fluid: str, additive: str
) -> None:
    assert verdict(base, additive, fluid) is Verdict.INCOMPATIBLE


@pytest.mark.parametrize("additive", ["additive/copper-sulfate", "additive/hypochlorite"])
def test_it_is_refused_as_well_where_it_is_dosed_into_the_fluid_that_bathes_a_metal(
    base: KnowledgeBase, additive: str
) -> None:
    filled = {"kind": "fluid", "is": "fluid/propylene-glycol-inhibited-premix", "additives": [additive]}
    assert verdict(base, filled, "metal/stainless-316") is Verdict.INCOMPATIBLE


def test_alternatives_and_what_is_not_told_are_not_met(base: KnowledgeBase) -> None:
    row = base.snapshot.get(Fluid, "fluid/propylene-glycol-inhibited-premix")
    assert row.contains == "azole; phosphate or silicate"
    assert row.contents == {"azole"}


def test_a_content_stands_for_the_additive_or_family_that_it_names(base: KnowledgeBase) -> None:
    assert content_families(base.snapshot, "azole")[0] == "family/azole"
    assert content_families(base.snapshot, "organic-acid")[0] == "family/organic-acid"
    assert content_families(base.snapshot, "borate")[:2] == ("additive/borate", "family/borate")
    assert content_families(base.snapshot, "nothing-known") == ()
