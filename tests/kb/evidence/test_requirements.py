"""Requirements: facts that are there meet them, absence never does, and a statement only ever helps."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.evidence.requirements import KnownFacts, holding, refuse_contradicted, settled, stated_met
from kb.evidence.tree import Finding, Missing, RequirementCheck, verdict_of
from kb.knowledge_base import KnowledgeBase
from kb.store.faults import QuestionError
from schemas.columns.facts import FactsError, parse_facts
from schemas.level import Judgement, RequirementState
from schemas.tables.requirements import Requirement
from schemas.verdict import Verdict

CLAMP = "requirement/hose-clamp"


def finding(judgement: Judgement, requirement: str | None = None, *, decides: bool = True) -> Finding:
    named = RequirementCheck(requirement) if requirement else None
    return Finding("own", judgement, "place", (Missing("place", "", ""),), requirement=named, decides=decides)


findings = st.lists(
    st.builds(
        finding,
        st.sampled_from(Judgement),
        st.sampled_from([None, CLAMP, "requirement/thread-sealant"]),
        decides=st.booleans(),
    ),
    max_size=6,
)


class TestVerdict:
    @given(findings, st.randoms())
    def test_neither_order_nor_grouping_matters(self, found: list[Finding], chance: Any) -> None:
        shuffled = list(found)
        chance.shuffle(shuffled)
        assert verdict_of(shuffled) is verdict_of(found)
        half = len(found) // 2
        parts = [part for part in (found[:half], found[half:]) if part]
        assert max((verdict_of(part).severity for part in parts), default=2) == verdict_of(found).severity

    @given(findings, st.builds(finding, st.sampled_from(Judgement)))
    def test_one_more_finding_never_makes_it_milder(self, found: list[Finding], more: Finding) -> None:
        if found:
            assert verdict_of([*found, more]).severity >= verdict_of(found).severity

    @given(findings, st.sets(st.sampled_from([CLAMP, "requirement/thread-sealant"])))
    def test_stating_a_requirement_never_makes_it_worse(self, found: list[Finding], met: set[str]) -> None:
        assert verdict_of(stated_met(found, met)).severity <= verdict_of(found).severity

    @given(findings)
    def test_a_statement_lifts_no_error_and_fills_no_gap(self, found: list[Finding]) -> None:
        everything = {CLAMP, "requirement/thread-sealant"}
        hard = [one for one in found if one.judgement is not Judgement.WARNING and one.requirement is None]
        assert [one.verdict for one in stated_met(hard, everything)] == [one.verdict for one in hard]

    @pytest.mark.parametrize(
        ("found", "expected"),
        [
            ([finding(Judgement.ERROR), finding(Judgement.GAP)], Verdict.INCOMPATIBLE),
            ([finding(Judgement.GAP), finding(Judgement.WARNING, CLAMP)], Verdict.UNKNOWN),
            ([finding(Judgement.GAP, decides=False), finding(Judgement.WARNING, CLAMP)], Verdict.CONDITIONAL),
            ([finding(Judgement.GAP, decides=False), finding(Judgement.NOTE)], Verdict.COMPATIBLE),
            ([], Verdict.UNKNOWN),
        ],
    )
    def test_worst_first(self, found: list[Finding], expected: Verdict) -> None:
        assert verdict_of(found) is expected


class TestFacts:
    @pytest.mark.parametrize("text", ["", "part", "part:", "colour:red", "statement:yes", "a & ", "part:x =", "not"])
    def test_what_is_no_fact_is_refused_or_holds_nothing(self, text: str) -> None:
        if text:
            with pytest.raises(FactsError):
                parse_facts(text)
        else:
            assert parse_facts(text) == ()

    def test_every_cell_of_the_table_can_be_read_and_written_back(self, base: KnowledgeBase) -> None:
        for row in base.snapshot.active(Requirement):
            for cell in (row.implied_by, row.contradicted_by or ""):
                written = " ; ".join(" & ".join(fact.text for fact in needed) for needed in parse_facts(cell))
                assert written == cell

    @given(st.dictionaries(st.sampled_from(["part:a", "part:b"]), st.booleans()))
    def test_what_is_unknown_implies_nothing_whichever_way_it_is_asked(self, words: dict[str, bool]) -> None:
        facts = KnownFacts(words)
        assert bool(holding(parse_facts("part:a"), facts)) is (words.get("part:a") is True)
        assert bool(holding(parse_facts("not part:a"), facts)) is (words.get("part:a") is False)
        assert bool(holding(parse_facts("part:a & part:b"), facts)) is (
            words.get("part:a") is True and words.get("part:b") is True
        )
        assert bool(holding(parse_facts("part:a ; part:b"), facts)) is (True in words.values())

    @given(st.floats(-10, 10), st.floats(-10, 10))
    def test_a_figure_is_compared_as_it_is_written(self, value: float, bound: float) -> None:
        facts = KnownFacts(figures={"condition:ph": value})
        bound = round(bound, 3)
        for sign, expected in (("<", value < bound), ("<=", value <= bound), (">", value > bound)):
            assert bool(holding(parse_facts(f"condition:ph{sign}{bound:.3f}"), facts)) is expected

    def test_a_statement_is_never_implied(self) -> None:
        assert not holding(parse_facts("statement"), KnownFacts({"statement:": True}))

    def test_no_fact_speaks_about_the_quantity_that_a_finding_fired_on(self) -> None:
        facts = KnownFacts({"fluid:premix": True}, {"condition:chloride": 10.0, "condition:ph": 8.0})
        beside = frozenset({"chloride"})
        assert not holding(parse_facts("condition:chloride<50"), facts, beside)
        assert not holding(parse_facts("fluid:premix"), facts, beside)
        assert holding(parse_facts("condition:ph>7"), facts, beside)


class TestStates:
    def test_a_part_in_the_list_implies_and_its_absence_contradicts(self, base: KnowledgeBase) -> None:
        warning = finding(Judgement.WARNING, CLAMP)
        there = settled(base.snapshot, warning, KnownFacts({"part:hose-clamp": True}))
        gone = settled(base.snapshot, warning, KnownFacts({"part:hose-clamp": False}))
        unsaid = settled(base.snapshot, warning, KnownFacts())
        states = [one.requirement.state for one in (there, gone, unsaid) if one.requirement]
        assert states == [RequirementState.IMPLIED, RequirementState.CONTRADICTED, RequirementState.OPEN]
        assert [one.verdict for one in (there, gone, unsaid)] == [
            Verdict.COMPATIBLE,
            Verdict.CONDITIONAL,
            Verdict.CONDITIONAL,
        ]

    def test_a_statement_that_facts_contradict_is_an_error_at_its_place(self, base: KnowledgeBase) -> None:
        gone = settled(base.snapshot, finding(Judgement.WARNING, CLAMP), KnownFacts({"part:hose-clamp": False}))
        with pytest.raises(QuestionError) as refused:
            refuse_contradicted(base.snapshot, [gone], {CLAMP: "met.3"})
        assert refused.value.field == "met.3"
        (still,) = stated_met([gone], {CLAMP})
        assert still.verdict is Verdict.CONDITIONAL

    def test_a_statement_nobody_contradicts_meets(self) -> None:
        (met,) = stated_met([finding(Judgement.WARNING, CLAMP)], {CLAMP})
        assert met.requirement == RequirementCheck(CLAMP, RequirementState.MET, "stated")
