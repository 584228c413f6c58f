"""Published statements about materials, fluids and additives, each asked as its source puts it.

`chemistry_statements.csv` holds one statement a row: source and locator, evidence number, what it says, the pair, the
topic, the verdict that the statement itself gives (not our rules), and the circumstances. How it stands here:

- `agrees`: the level of our finding on that topic is the statement's (compatible: kept or a note; conditional: an open
  requirement; incompatible: an error), and the whole answer is at least as severe;
- `noted`: the statement asks for care that nobody acts on before filling; ours tells it as a note with the reason of
  its level;
- `open`: the statement forbids a state that can be put right before filling; ours names that as an open requirement;
- `disputed`: sources disagree; ours follows another one and the answer must report this statement beside it;
- `stricter` or `milder`: ours differs on purpose; the row says why. No other row may.

What is told of a fluid as a whole, or of one kind of `part`, is asked as a loop of one material and that fluid; all
else as a pair.
Statements about materials that we do not carry (nickel braze, stainless 347) are left out rather than carried over.
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from kb.knowledge_base import KnowledgeBase
from schemas.answers.answers import Finding, PairAnswer
from schemas.answers.loop import LoopAnswer
from schemas.level import Judgement
from schemas.tables.rules import Rule
from schemas.verdict import Verdict


class Statement(NamedTuple):
    """One row of `chemistry_statements.csv`."""

    evidence: str
    source: str
    locator: str
    says: str
    one: str
    other: str
    topic: str
    verdict: str
    circumstances: str
    part: str
    stands: str
    why: str

    @property
    def expected(self) -> Verdict:
        return Verdict(self.verdict)

    @property
    def conditions(self) -> dict[str, float]:
        pairs = (one.split("=") for one in self.circumstances.split())
        return {name: float(value) for name, value in pairs}

    def __str__(self) -> str:
        return f"{self.evidence}: {self.one}, {self.other}, {self.topic}"


def read_statements() -> list[Statement]:
    with Path(__file__).with_name("chemistry_statements.csv").open(encoding="utf-8", newline="") as file:
        return [Statement(**row) for row in csv.DictReader(file)]


STATEMENTS = read_statements()


def statements_that(*ways: str) -> list[Statement]:
    return [one for one in STATEMENTS if one.stands in ways]


Answered = tuple[PairAnswer | LoopAnswer, Finding]
Ask = Callable[[Statement], Answered]
LEVELS = {
    Verdict.COMPATIBLE: {Judgement.PASS, Judgement.NOTE},
    Verdict.CONDITIONAL: {Judgement.WARNING},
    Verdict.UNKNOWN: {Judgement.GAP},
    Verdict.INCOMPATIBLE: {Judgement.ERROR},
}
SEVERITY = {Judgement.PASS: 0, Judgement.NOTE: 1, Judgement.WARNING: 2, Judgement.GAP: 3, Judgement.ERROR: 4}


@pytest.fixture(scope="module")
def ask(base: KnowledgeBase) -> Ask:
    """Return the answer to a statement and what is reported there on its topic."""

    def answer(statement: Statement) -> Answered:
        reported: PairAnswer | LoopAnswer = base.pair(statement.one, statement.other, statement.conditions)
        on_topic = [one for one in reported.findings if one.code == f"rule-{statement.topic}"]
        if statement.part or not on_topic:
            reported = base.loop(as_loop(statement))
            on_topic = [one for one in reported.findings if one.code == f"rule-{statement.topic}"]
        assert len(on_topic) == 1, f"{statement} is not spoken of: {[one.code for one in reported.findings]}"
        return reported, on_topic[0]

    return answer


def as_loop(statement: Statement) -> dict[str, Any]:
    """Return a loop of one part of the material, or of copper, filled with the fluid, or with distilled water."""
    ids = {one.split("/")[0]: one for one in (statement.one, statement.other)}
    material = next((one for kind, one in ids.items() if kind not in ("fluid", "additive")), "metal/copper")
    fluid = {
        "is": ids.get("fluid", "fluid/distilled-water"),
        "additives": [ids[one] for one in ids if one == "additive"],
    }
    kind, surface = (statement.part or "sensor body").split()
    part = {"kind": kind, "ports": {"in": "port/g-1-4-loop"}, "materials": {surface: material}}
    asked = {"parts": {"part": part}, "fluid": fluid, "conditions": statement.conditions}
    return {**asked, "sections": ["chemistry"], "detail": "all"}


@pytest.mark.parametrize("statement", statements_that("agrees"), ids=str)
def test_level_is_that_of_the_statement(ask: Ask, statement: Statement) -> None:
    answer, reported = ask(statement)
    assert reported.judgement in LEVELS[statement.expected]
    assert answer.verdict.severity >= statement.expected.severity


@pytest.mark.parametrize("statement", statements_that("noted"), ids=str)
def test_care_that_nobody_acts_on_is_told_as_a_note_with_a_reason(
    base: KnowledgeBase, ask: Ask, statement: Statement
) -> None:
    _, reported = ask(statement)
    assert statement.expected in (Verdict.CONDITIONAL, Verdict.UNKNOWN)
    assert reported.judgement is Judgement.NOTE
    assert base.snapshot.get(Rule, reported.rules[0].id).level_reason


@pytest.mark.parametrize("statement", statements_that("open"), ids=str)
def test_what_can_be_put_right_is_an_open_requirement(ask: Ask, statement: Statement) -> None:
    answer, reported = ask(statement)
    assert statement.why
    assert statement.expected is Verdict.INCOMPATIBLE
    assert (reported.judgement, bool(reported.requirement)) == (Judgement.WARNING, True)
    assert answer.verdict is not Verdict.COMPATIBLE


@pytest.mark.parametrize("statement", statements_that("disputed"), ids=str)
def test_statement_that_lost_is_reported_beside_the_one_that_decides(ask: Ask, statement: Statement) -> None:
    _, reported = ask(statement)
    assert reported.judgement not in LEVELS[statement.expected]
    assert statement.expected in {one.verdict for one in reported.disputes}
    assert all(one.source and one.reason for one in reported.disputes)


@pytest.mark.parametrize("statement", statements_that("stricter"), ids=str)
def test_level_is_more_severe_than_the_statement_on_purpose(ask: Ask, statement: Statement) -> None:
    _, reported = ask(statement)
    assert statement.why
    assert SEVERITY[reported.judgement] > max(SEVERITY[one] for one in LEVELS[statement.expected])


@pytest.mark.parametrize("statement", statements_that("milder"), ids=str)
def test_level_is_milder_than_the_statement_on_purpose_yet_never_compatible(ask: Ask, statement: Statement) -> None:
    answer, reported = ask(statement)
    assert statement.why
    assert (statement.expected, reported.judgement) == (Verdict.INCOMPATIBLE, Judgement.WARNING)
    assert answer.verdict is not Verdict.COMPATIBLE


def test_there_are_enough_statements_and_few_differ() -> None:
    with_additive = [one for one in STATEMENTS if one.one.startswith(("additive/", "fluid/"))]
    assert (len(STATEMENTS) >= 150, len(with_additive) >= 40) == (True, True)
    ways = Counter(one.stands for one in STATEMENTS)
    assert (ways["stricter"] <= 4, ways["milder"] <= 5) == (True, True), ways
    assert set(ways) == {"agrees", "noted", "open", "disputed", "stricter", "milder"}
    assert ways["agrees"] > 0.6 * len(STATEMENTS)


def test_every_statement_says_where_it_stands_and_only_once() -> None:
    assert all(one.evidence and one.source and one.says for one in STATEMENTS)
    asked = Counter((one.evidence, one.one, one.other, one.topic, one.circumstances) for one in STATEMENTS)
    assert [key for key, count in asked.items() if count > 1] == []


def test_statements_reach_across_the_kinds_of_substances() -> None:
    touched = {part for one in STATEMENTS for part in (one.one, one.other)}
    for least, kind in ((14, "metal/"), (14, "plastic/"), (5, "elastomer/"), (18, "fluid/"), (10, "additive/")):
        assert sum(part.startswith(kind) for part in touched) >= least, kind
