"""What the asker states to be met: it settles what it names, never makes anything worse, and is never taken on trust
against the facts of the question."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.knowledge_base import KnowledgeBase, load
from kb.store.faults import QuestionError
from schemas.answers.answers import PairAnswer
from schemas.level import RequirementState
from schemas.questions.loop import LoopQuestion
from schemas.questions.questions import PairQuestion
from schemas.tables.requirements import Requirement
from schemas.verdict import Verdict

BASE = load()
SIDES = (("materials", "fluids"), ("tubes", "fittings"), ("threads", "ports"), ("materials", "materials"))
PAIRS = st.sampled_from(SIDES).flatmap(
    lambda tables: st.tuples(*(st.sampled_from(BASE.snapshot.ids((table,))) for table in tables))
)
EVERY = tuple(row.id for row in BASE.snapshot.active(Requirement))
LEFT = (RequirementState.OPEN, RequirementState.CONTRADICTED)


def ask(pair: tuple[str, ...], met: tuple[str, ...] = (), conditions: Mapping[str, float] | None = None) -> PairAnswer:
    a, b = pair
    return BASE.pair(a=a, b=b, met=met, conditions=dict(conditions or {}))


@settings(max_examples=60, deadline=None)
@given(PAIRS, st.sets(st.sampled_from(EVERY), max_size=4))
def test_stating_a_requirement_never_makes_a_pair_worse(pair: tuple[str, ...], met: set[str]) -> None:
    against = {one.id for one in ask(pair).requirements if one.state is RequirementState.CONTRADICTED}
    stated = tuple(sorted(met - against))
    assert ask(pair, stated).verdict.severity <= ask(pair).verdict.severity


@settings(max_examples=60, deadline=None)
@given(PAIRS)
def test_all_that_is_listed_as_left_to_do_being_done_leaves_nothing_to_do(pair: tuple[str, ...]) -> None:
    before = ask(pair)
    left = tuple(one.id for one in before.requirements if one.state is RequirementState.OPEN)
    after = ask(pair, left)
    assert not any(one.state is RequirementState.OPEN for one in after.requirements)
    if before.verdict in (Verdict.INCOMPATIBLE, Verdict.UNKNOWN):
        assert after.verdict is before.verdict, "a statement lifts no error and fills no gap"
    is_lost = after.verdict is Verdict.INCOMPATIBLE
    assert after.summary.startswith("Because you state") is (bool(left) and not is_lost)


@settings(max_examples=40, deadline=None)
@given(PAIRS, st.sets(st.sampled_from(EVERY), max_size=3))
def test_order_of_a_pair_does_not_matter_to_what_is_left(pair: tuple[str, ...], met: set[str]) -> None:
    against = {one.id for one in ask(pair).requirements if one.state is RequirementState.CONTRADICTED}
    stated = tuple(sorted(met - against))
    one, other = ask(pair, stated), ask(pair[::-1], stated)
    assert (one.verdict, one.requirements, one.strength) == (other.verdict, other.requirements, other.strength)


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from(BASE.snapshot.ids(("materials",))),
    st.sampled_from(["fluid/tap-water-medium", "fluid/water-inhibited", "fluid/distilled-water"]),
    st.sampled_from(["chloride", "sulfate", "ammonium", "free-chlorine", "months-in-service"]),
    st.tuples(st.floats(0, 100), st.floats(0, 100)),
)
def test_worse_water_is_never_milder(material: str, water: str, quantity: str, values: tuple[float, float]) -> None:
    mild, severe = sorted(values)
    first, second = (ask((material, water), conditions={quantity: value}).verdict for value in (mild, severe))
    assert second.severity >= first.severity


@settings(max_examples=60, deadline=None)
@given(PAIRS)
def test_nothing_is_milder_than_unknown_while_a_gap_decides(pair: tuple[str, ...]) -> None:
    answer = ask(pair)
    if any(finding.decides for finding in answer.findings):
        assert answer.verdict.severity >= Verdict.UNKNOWN.severity


class TestErrors:
    def test_unknown_requirement_is_refused_at_its_place_with_the_nearest(self, base: KnowledgeBase) -> None:
        with pytest.raises(QuestionError) as refused:
            base.pair(a="metal/copper", b="fluid/distilled-water", met=("hose-clamp", "coper-inhibitor"))
        assert refused.value.field == "met.1"
        assert "requirement/copper-inhibitor" in refused.value.nearest

    @pytest.mark.parametrize("everything", ["all", "*", "requirement/"])
    def test_there_is_no_word_for_all_of_them(self, base: KnowledgeBase, everything: str) -> None:
        with pytest.raises(QuestionError):
            base.pair(a="metal/copper", b="fluid/distilled-water", met=(everything,))

    def test_what_the_question_contradicts_is_refused(self, base: KnowledgeBase) -> None:
        """A pH outside the band of the fluid and a statement that it lies inside cannot both be so."""
        asked = PairQuestion(
            a="metal/copper", b="fluid/water-inhibited", conditions={"ph": 10.0}, met=("copper-inhibitor", "ph-in-band")
        )
        with pytest.raises(QuestionError) as refused:
            base.pair(**dict(asked))
        assert refused.value.field == "met.1"

    def test_short_and_full_names_mean_the_same(self, base: KnowledgeBase) -> None:
        names: tuple[str, ...] = ("copper-inhibitor", "requirement/copper-inhibitor")
        answers = [base.pair(a="metal/copper", b="fluid/distilled-water", met=(one,)) for one in names]
        assert answers[0] == answers[1]
        assert answers[0].verdict is Verdict.COMPATIBLE

    def test_what_nothing_asks_for_is_idle(self, base: KnowledgeBase) -> None:
        answer = base.pair(a="metal/copper", b="fluid/distilled-water", met=("heavy-card-upright",))
        idle = {one.id for one in answer.requirements if one.state is RequirementState.IDLE}
        assert idle == {"requirement/heavy-card-upright"}

    def test_a_condition_that_nothing_asks_for_is_named(self, base: KnowledgeBase) -> None:
        answer = base.pair(a="thread/g-1-4", b="port/g-1-4-loop", conditions={"ph": 7.0})
        assert answer.unused == ("quantity/ph",)


def test_a_loop_settles_what_its_asker_states(base: KnowledgeBase) -> None:
    part: dict[str, Any] = {
        "kind": "sensor",
        "ports": {"in": "port/g-1-4-loop"},
        "materials": {"body": "metal/copper"},
    }
    asked = {"parts": {"probe": part}, "fluid": "fluid/distilled-water", "sections": ["chemistry"]}
    before = base.loop(LoopQuestion.model_validate(asked))
    left = [one.id for one in before.requirements if one.state in LEFT]
    assert before.verdict is Verdict.CONDITIONAL and "requirement/growth-control" in left
    after = base.loop(LoopQuestion.model_validate({**asked, "met": left}))
    assert after.verdict is Verdict.COMPATIBLE
    assert after.sections[0].verdict is after.verdict
    assert after.chemistry is not None and after.chemistry.verdict is after.verdict
