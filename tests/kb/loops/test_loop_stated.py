"""What is stated of a loop is judged as hard as what is computed, and what is computed cannot be stated away."""

from __future__ import annotations

from typing import Any

import pytest
from structure_asking import answer, errors, loop

from kb.knowledge_base import KnowledgeBase
from kb.store.faults import QuestionError
from schemas.tables.fluids import Fluid, FluidUse
from schemas.verdict import Verdict


@pytest.mark.parametrize("stated_c", [61.0, 70.0, 80.0, 90.0])
def test_a_stated_temperature_is_no_milder_than_a_computed_one(base: KnowledgeBase, stated_c: float) -> None:
    asked = loop() | {"conditions": {"coolant-temperature": stated_c}}
    assert "coolant-temperature" in {code for code, _ in errors(base, asked)}


def test_no_cleaner_is_a_filling(base: KnowledgeBase) -> None:
    cleaners = [row.id for row in base.snapshot.active(Fluid) if row.use is FluidUse.CLEANER]
    assert len(cleaners) > 5
    wet = {"kind": "sensor", "ports": {"in": "port/g-1-4-loop"}, "materials": {"body": "elastomer/epdm"}}
    for fluid in cleaners:
        asked: dict[str, Any] = {"parts": {"probe": wet}, "fluid": fluid, "sections": ["chemistry"]}
        assert base.loop(asked).verdict is Verdict.INCOMPATIBLE, fluid


def test_what_fills_the_loop_cannot_be_stated_to_be_rinsed_out(base: KnowledgeBase) -> None:
    wet = {"kind": "sensor", "ports": {"in": "port/g-1-4-loop"}, "materials": {"body": "elastomer/nbr"}}
    asked: dict[str, Any] = {"parts": {"probe": wet}, "fluid": "fluid/ethanol", "sections": ["chemistry"]}
    with pytest.raises(QuestionError) as refused:
        base.loop(asked | {"met": ["cleaner-rinsed-out"]})
    assert refused.value.field == "met.0"


@pytest.mark.parametrize("condition", [{"chloride": 801}, {"chloride": 20_000}, {"hardness": 251}, {"hardness": 2000}])
def test_no_coolant_stands_salt_or_hardness_above_every_published_ceiling(
    base: KnowledgeBase, condition: dict[str, float]
) -> None:
    """UFC 3-240-13FN (2005), closed systems: chloride and sulfate to 800 mg/l, make-up hardness to 250 mg/l."""
    assert answer(base, loop() | {"conditions": condition}).verdict is Verdict.INCOMPATIBLE


@pytest.mark.parametrize("delta_t_k", [1.0, 2.0, 3.0])
def test_a_computed_miss_of_a_target_cannot_be_stated_away(base: KnowledgeBase, delta_t_k: float) -> None:
    asked = loop() | {"target": {"coolant_to_air_delta_t_k": delta_t_k}, "met": ["wish-met"]}
    with pytest.raises(QuestionError, match="cannot be stated"):
        base.loop(asked)


def test_a_condition_that_no_coolant_minds_is_named(base: KnowledgeBase) -> None:
    assert base.fluids(["metal/copper"], conditions={"air-temperature": 60}).unused == ("quantity/air-temperature",)
    assert base.fluids(["metal/copper"], conditions={"ph": 9}).unused == ()
    assert base.materials("fluid/distilled-water", conditions={"air-temperature": 60}).unused != ()


@pytest.mark.parametrize("written", ["nitrate", "borosilicate", "sulfite", "chlorite"])
def test_no_name_of_a_substance_is_corrected_into_another(base: KnowledgeBase, written: str) -> None:
    assert [one.part for one in base.find(written).candidates if one.part.startswith(("additive/", "fluid/"))] == []
