"""The map of knowledge counts what decides, what backs it, and what is missing."""

from __future__ import annotations

import dataclasses
from datetime import date

import pytest
from mutations import added, replaced, row_of, without

from kb.curation.coverage.cover import cover_tables
from kb.curation.coverage.facts import shares_by_basis, shares_by_source, stale_facts, weak_tables
from kb.curation.coverage.gaps import most_valuable_gaps
from kb.curation.coverage.pairs import Decided, covered_families, covered_kinds, decide_all, decided_by
from kb.curation.coverage.report import cover_markdown, cover_text
from kb.curation.diff.kind_pairs import KIND_PAIRS, KindPair, active_parts, all_pairs
from kb.curation.diff.loops import judge_loops, read_loops
from kb.knowledge_base import KnowledgeBase
from kb.store.frozen import BuiltTables
from kb.store.snapshot import Snapshot
from schemas.answers.coverage import CoverAnswer
from schemas.columns.provenance import Basis, Confidence

DAY = date(2026, 11, 25)
FEW = (KindPair("thread", "thread"), KindPair("material", "fluid"))


@pytest.fixture
def few_kind_pairs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("kb.curation.diff.kind_pairs.KIND_PAIRS", FEW)


@pytest.fixture
def answer(base: KnowledgeBase, request: pytest.FixtureRequest) -> CoverAnswer:
    request.getfixturevalue("few_kind_pairs")
    return cover_tables(base, read_loops()[:3], DAY, 730)


@pytest.mark.parametrize(
    ("a", "b", "ground"),
    [
        ("thread/g-1-4", "tube/soft-10x16", Decided.BY_RULE),
        ("tube/soft-3-8x5-8", "fitting/compression-3-8x5-8-g-1-4", Decided.BY_COMPUTATION),
        ("metal/copper", "fluid/alcohol-mix", Decided.UNKNOWN),
    ],
)
def test_a_pair_is_sorted_by_what_decides_it(base: KnowledgeBase, a: str, b: str, ground: Decided) -> None:
    assert decided_by(base.decide(a, b).joint) is ground


@pytest.mark.usefixtures("few_kind_pairs")
def test_every_pair_is_counted_once_whatever_decides_it(snapshot: Snapshot) -> None:
    decided = list(decide_all(snapshot))
    kinds = active_parts(snapshot)
    count = {kind: list(kinds.values()).count(kind) for kind in ("thread", "material", "fluid")}
    pairs = {(one.a, one.b): one.pairs for one in covered_kinds(snapshot, decided)}
    assert pairs == {
        ("thread", "thread"): count["thread"] * (count["thread"] + 1) // 2,
        ("material", "fluid"): count["material"] * count["fluid"],
    }
    assert sum(one.pairs for one in covered_families(snapshot, decided)) == pairs["material", "fluid"]


def test_no_pair_is_asked_about_twice_and_every_kind_is_asked_about(snapshot: Snapshot) -> None:
    kinds = active_parts(snapshot)
    pairs = list(all_pairs(kinds))
    assert len({frozenset(pair) for pair in pairs}) == len(pairs)
    assert {kind for kinds_ in KIND_PAIRS for kind in kinds_} == set(kinds.values())


def test_shares_add_up_to_all_standing_facts(snapshot: Snapshot) -> None:
    whole = sum(share.facts for share in shares_by_basis(snapshot))
    assert whole == sum(share.facts for share in shares_by_source(snapshot))
    assert {share.ground for share in shares_by_basis(snapshot)} <= {basis.value for basis in Basis}


def test_a_weak_fact_that_a_second_source_backs_stands_no_longer_alone(tables: BuiltTables) -> None:
    row = next(one for one in tables.rows["fluid_properties"] if one.basis is Basis.FROM_MEMORY)

    def weak(state: BuiltTables) -> int:
        return next(one.weak for one in weak_tables(Snapshot(state)) if one.table == "fluid_properties")

    backed = dataclasses.replace(row, id=f"{row.id}-again", source_id="source/trade-usage", confidence=Confidence.HIGH)
    alike = dataclasses.replace(row, id=f"{row.id}-again")
    assert weak(added(tables, backed)) == weak(tables) - 1
    assert weak(added(tables, alike)) == weak(tables) + 1
    assert weak(without(tables, row)) == weak(tables) - 1


def test_a_row_is_stale_by_the_day_that_is_asked_about(tables: BuiltTables) -> None:
    row = row_of(tables, "tubes", "tube/soft-10x16")
    snapshot = Snapshot(replaced(tables, row, checked_on=date(2020, 1, 1)))
    assert [one.row for one in stale_facts(snapshot, DAY, 730)] == [row.id]
    assert stale_facts(snapshot, date(2021, 1, 1), 730) == ()
    assert len(stale_facts(snapshot, date(2040, 1, 1), 730)) == sum(one.facts for one in shares_by_basis(snapshot))


def test_gaps_that_more_loops_meet_come_first(base: KnowledgeBase) -> None:
    judged = judge_loops(base, [one for one in read_loops() if one.name in {"petg-warm", "silver-coil-tee"}])
    gaps = most_valuable_gaps(base, judged, 5)
    assert gaps[0].what == "a rule that knows more than rule/tin-and-solder-in-pure-water"
    assert gaps[0].loops == ("petg-warm", "silver-coil-tee")
    order = [(-len(gap.loops), -gap.weight) for gap in gaps]
    assert order == sorted(order)


def test_at_most_ten_gaps_are_reported(answer: CoverAnswer) -> None:
    assert 0 < len(answer.gaps) <= 10


def test_map_is_reported_as_text_and_as_markdown(answer: CoverAnswer) -> None:
    text, markdown = cover_text(answer), cover_markdown(answer)
    first = answer.kinds[0]
    row = [str(number) for number in (first.pairs, first.by_rule, first.by_computation, first.unknown)]
    assert "thread with thread" in text
    assert f"| thread with thread | {' | '.join(row)} |" in markdown
    assert all(gap.what in text and gap.what in markdown for gap in answer.gaps)
