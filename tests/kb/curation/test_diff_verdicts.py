"""Changed verdicts are found with the rows that cause them, and put into words."""

from __future__ import annotations

import dataclasses
from dataclasses import replace
from datetime import date

import pytest
from mutations import added, replaced, row_of, without

from kb.curation.diff.diff import diff_tables
from kb.curation.diff.loops import ExampleLoop, read_loops
from kb.curation.diff.report import diff_markdown, diff_text
from kb.curation.diff.revisions import Revision
from kb.store.frozen import BuiltTables
from schemas.answers.changes import DiffAnswer
from schemas.level import Judgement, Scope
from schemas.verdict import Verdict

LIMIT = "limit/o-ring-compression-small-rigid-compression"
JOINT = ("tube/acrylic-10x8", "fitting/rigid-10-g-1-4")


def diff(before: BuiltTables, after: BuiltTables, loops: tuple[ExampleLoop, ...] = ()) -> DiffAnswer:
    return diff_tables(Revision("old", before), Revision("new", after), loops)


@pytest.fixture(scope="module")
def tightened(tables: BuiltTables) -> DiffAnswer:
    """Return what follows from allowing less compression of the O-ring of a rigid tube."""
    limit = row_of(tables, "limits", LIMIT)
    return diff(tables, replaced(tables, limit, value=15.0), read_loops())


def test_a_tightened_limit_changes_verdicts_and_is_named_as_their_cause(tightened: DiffAnswer) -> None:
    found = {(one.a, one.b): one for one in tightened.verdicts}
    assert found[JOINT].before is Verdict.COMPATIBLE
    assert found[JOINT].after is Verdict.CONDITIONAL
    assert {one.causes for one in tightened.verdicts} == {(LIMIT,)}
    assert all(one.b.startswith("fitting/rigid") for one in tightened.verdicts)


def test_only_pairs_in_reach_of_the_limit_are_judged(tightened: DiffAnswer) -> None:
    assert len(tightened.verdicts) < tightened.pairs_judged < tightened.pairs / 10


def test_loops_that_meet_the_limit_change_for_the_same_cause(tightened: DiffAnswer) -> None:
    changed = {loop.loop: loop for loop in tightened.loops}
    assert "soft-inch-copper" not in changed
    assert tightened.loops_judged >= 12
    found = [finding for loop in changed.values() for finding in loop.findings]
    assert found
    assert {finding.code for finding in found} == {"o-ring-compression-min"}
    assert {finding.causes for finding in found} == {(LIMIT,)}


def test_text_says_from_what_to_what_because_of_which_row(tightened: DiffAnswer) -> None:
    text = diff_text(tightened)
    assert f"{LIMIT} changed: value 10 -> 15" in text
    assert f"{len(tightened.verdicts)} because of {LIMIT}" in text
    first, second = "tube/acrylic-1-2x3-8 with fitting/rigid-1-2-g-1-4", "tube/acrylic-10x8 with fitting/rigid-10-g-1-4"
    assert f"{len(tightened.verdicts)} x compatible -> conditional: {first}, {second}" in text


def test_markdown_is_grouped_by_cause_and_stays_short(tightened: DiffAnswer) -> None:
    report = diff_markdown(tightened)
    assert report.startswith("## ")
    assert f"because of `{LIMIT}`" in report
    assert len(report.splitlines()) < 60
    assert len(report) < 10_000


def test_report_of_a_large_change_stays_readable(tightened: DiffAnswer) -> None:
    """What is left out is counted, and stands in the JSON."""
    many = [
        replace(tightened.verdicts[at % len(tightened.verdicts)], causes=(f"limit/number-{at}",)) for at in range(500)
    ]
    report = diff_markdown(replace(tightened, verdicts=tuple(many)))
    assert "470 because of 470 other rows or sets of rows" in report
    assert len(report.splitlines()) < 150


def test_a_removed_rule_is_the_cause_of_what_it_decided(tables: BuiltTables) -> None:
    rule = row_of(tables, "rules", "rule/solder-lead-free-in-water")
    answer = diff(tables, without(tables, rule))
    assert answer.verdicts
    assert all(one.causes == (rule.id,) for one in answer.verdicts)


def test_a_new_rule_is_the_cause_where_nothing_was_known(tables: BuiltTables) -> None:
    """Pairs that cite nothing yet are found, too."""
    like = row_of(tables, "rules", "rule/solder-lead-free-in-water")
    new = dataclasses.replace(
        like,
        id="rule/invented",
        subject_id="plastic/petg",
        object_id="fluid/alcohol-mix",
        level=Judgement.ERROR,
        requirement_id=None,
        scope=Scope.COUPLE,
        level_reason=None,
    )
    found = {(one.a, one.b): one for one in diff(tables, added(tables, new)).verdicts}
    change = found["plastic/petg", "fluid/alcohol-mix"]
    assert (change.before, change.after) == (Verdict.UNKNOWN, Verdict.INCOMPATIBLE)
    assert {one.causes for one in found.values()} == {("rule/invented",)}


def test_a_family_under_another_parent_is_a_cause_though_no_answer_cites_it(tables: BuiltTables) -> None:
    family = row_of(tables, "families", "family/bronze")
    answer = diff(tables, replaced(tables, family, parent_id="family/metal"))
    assert answer.verdicts
    assert {one.causes for one in answer.verdicts} == {("family/bronze",)}


def test_a_new_archetype_is_reported_with_what_it_suits(tables: BuiltTables) -> None:
    row = row_of(tables, "tubes", "tube/soft-10x16")
    answer = diff(tables, added(tables, dataclasses.replace(row, id="tube/soft-invented")))
    (part,) = answer.parts
    assert part.part == "tube/soft-invented"
    assert part.appears
    assert "fitting/compression-10x16-g-1-4" in part.fits
    assert sum(part.verdicts.values()) > 300
    assert answer.verdicts == ()
    assert "tube/soft-invented" in diff_text(answer)


def test_a_withdrawn_archetype_can_no_longer_be_asked_about(tables: BuiltTables) -> None:
    row = row_of(tables, "additives", "additive/nitrite")
    answer = diff(tables, replaced(tables, row, withdrawn_on=date(2026, 11, 25), withdrawn_reason="test"))
    assert [(part.part, part.appears) for part in answer.parts] == [("additive/nitrite", False)]


def test_equal_tables_need_no_judging(tables: BuiltTables) -> None:
    answer = diff(tables, tables, read_loops())
    assert (answer.rows, answer.parts, answer.verdicts, answer.loops, answer.pairs_judged) == ((), (), (), (), 0)
    assert "none differs in meaning" in diff_text(answer)


def test_two_processes_find_what_one_finds(
    tables: BuiltTables, tightened: DiffAnswer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("kb.curation.diff.verdicts.WORTH_A_PROCESS", 1)
    limit = row_of(tables, "limits", LIMIT)
    assert diff(tables, replaced(tables, limit, value=15.0)).verdicts == tightened.verdicts
